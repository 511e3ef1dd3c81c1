"""Who may see a brief: links, what guests see and say, and the owner's passphrase."""
