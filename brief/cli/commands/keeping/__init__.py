"""What keeps everything: copies, another database, looking it through; and what others have."""
