"""A teacher's own values: fitted to the model, with the drug's own row and measure."""
