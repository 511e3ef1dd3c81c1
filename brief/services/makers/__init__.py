"""Several makers on one server, each with a workshop of their own."""
