"""The model for screens: triangles of every distinct part, a GLB file and a page that shows it."""
