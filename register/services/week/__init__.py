"""Visits: how sites are visited and by which vans, the week as it is planned and kept, the year ahead."""
