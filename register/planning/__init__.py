"""Planning: how much work there is, and when. Pure functions over frozen values."""
