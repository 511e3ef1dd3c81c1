"""What leaves a brief or comes into one: files, and paper."""
