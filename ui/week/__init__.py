"""The page of the week: what to visit, in what order, by which van."""
