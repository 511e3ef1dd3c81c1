"""What others say: comments, questions and their answers, and files of them."""
