"""Files in and out: what a contractor has and hands over, in the shapes that others read."""
