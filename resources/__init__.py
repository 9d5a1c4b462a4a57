"""What the program reads and never writes: rulebooks and the helper that makes a fresh checkout ready."""
