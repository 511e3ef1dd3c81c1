"""A brief as one document, frozen as revisions, compared and restored."""
