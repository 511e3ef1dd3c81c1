"""Where records are: a file or a server, what its processes tell each other, copies, soundness."""
