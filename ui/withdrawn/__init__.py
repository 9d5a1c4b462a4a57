"""The page of everything that is out of service."""
