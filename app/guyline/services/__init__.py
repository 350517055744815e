"""Everything that touches the world: files, terrain, sun, documents. No Qt."""
