"""The watcher: looks at the logbook, tells people of reminders at their moments, and does so once.

settings_file reads who is told what, deliver does one round, running keeps rounds going, unit_files starts it with
the machine.
"""
