"""What a house's measured mashes tell of its malts."""
