"""The page Firm: sites, owners and areas; people and instruments; work; settings; care of the register."""
