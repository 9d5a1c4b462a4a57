"""Tags on paper: what stands on each drawn for preview, print, PDF and pictures alike, and what asks for it."""
