"""What a brief is made by: its sheets, its pictures, its days, its costs."""
