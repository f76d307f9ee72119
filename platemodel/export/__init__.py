"""Files of a frame: STEP, STL, glTF, report and lists, and the folder they appear in."""
