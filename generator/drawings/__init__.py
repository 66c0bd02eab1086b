"""Assembly and report into drawings: views as plain values, placed on a sheet, written as DXF."""
