"""Links between sites, and who can reach whom over them."""
