"""Values as orders, labels and books write them."""
