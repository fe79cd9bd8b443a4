"""tablenote: the messaging bot. The way of one message is told in DEVELOPERS.md."""
