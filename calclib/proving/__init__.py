"""Many draws of an item model, each looked at before students meet the model."""
