"""Each result once: sentences and tables with keys, kinds of quantity and SI values. Knows no format and
no unit of a builder."""
