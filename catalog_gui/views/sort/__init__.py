"""The Sort page: trail, plan and clocks."""
