"""Tests of the report on what waits in the drawer."""
