"""What a piece is about: briefs, motifs, notes, references and their colours."""
