"""What several reports rest on."""
