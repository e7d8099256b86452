"""What an earlier run found, kept as plain data for as long as it is still true."""
