"""Rules of the trade: pure functions, each naming its source."""
