"""What events and due days ask for, and the chances of meeting it."""
