"""What the words of a message are, before anything is made of them."""
