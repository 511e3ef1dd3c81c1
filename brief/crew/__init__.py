"""What takes long, handed out in pieces: to processes of this computer, or to a cluster."""
