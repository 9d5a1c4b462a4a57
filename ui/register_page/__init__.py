"""The page of every item: searched, filtered, listed, with the card of one of them."""
