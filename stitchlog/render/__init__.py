"""Pages, charts as pictures, cards and tables: how things look."""
