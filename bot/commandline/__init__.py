"""The commands of `tablenote`."""
