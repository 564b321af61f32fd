"""gwlog: maintenance scheduler and logbook for a laundry-to-landscape graywater system."""

__version__ = "0.1.0"
