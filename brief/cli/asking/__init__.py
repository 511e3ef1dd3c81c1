"""What can be asked of each command; what answers it is imported when it runs."""
