"""Works off the GUI thread: queues, progress, cancel and one ending."""
