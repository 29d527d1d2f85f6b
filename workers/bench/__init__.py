"""Measures the speed of the service beside the floor of its database: ``manage.py bench``."""
