"""How the tables of the store came to be, a step a file in versions/; `kitwright` takes the steps by itself."""
