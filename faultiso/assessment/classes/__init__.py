"""A class: what the outcomes of many sessions come to, as figures, findings and what to do next."""
