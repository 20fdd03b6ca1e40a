"""The stages of the farm, one a file. Stages never import one another; `farmsim.model.way` joins them."""
