"""Sound: devices, levels, activity, yard noise and mixing."""
