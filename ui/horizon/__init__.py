"""Horizon: the page that opens first, with what falls due at each site in each week of the next quarter."""
