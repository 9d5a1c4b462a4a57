"""Pages on paper, in a PDF and in a preview: one drawing for all three."""
