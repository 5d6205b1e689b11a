"""One chosen drive -> its build pack: parts list, drawings to cut, build sheet, next study."""
