"""Did the change help, or was it the air, the track, chance?"""
