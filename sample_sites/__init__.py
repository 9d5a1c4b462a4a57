"""An invented contractor in an invented district, and the spreadsheets that such a contractor really has."""
