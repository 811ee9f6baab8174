"""Pages and pictures: every output is a Page, which carries the notice and the cautions."""
