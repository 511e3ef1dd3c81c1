"""What is made of a brief for others: booklet and card, and files of colours."""
