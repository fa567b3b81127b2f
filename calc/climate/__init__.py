"""Reference evapotranspiration, by FAO Irrigation and Drainage Paper 56, for a day.

Allen, Pereira, Raes & Smith, Crop evapotranspiration, FAO, 1998.

sun     its path, daylight, light above the air and on the ground
vapour  what the air holds
thirst  what sun, air and wind pull out of a garden
plants  a plant's share, and the water behind a harvest
"""
