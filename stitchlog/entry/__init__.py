"""What writes the CSV files of a diary, and what checks them."""
