"""Values as books and teachers write them."""
