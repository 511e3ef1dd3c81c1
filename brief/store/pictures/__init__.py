"""Where image files are: in a folder or a bucket, by the SHA-256 of their bytes."""
