"""Running the notebooks and making pages of them."""
