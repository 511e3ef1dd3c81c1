"""A body's outline out of a drawing or photograph of the maker's own mould."""
