"""Parts of the closed loop on the proving ground: the judge of a setup, and the ways to choose one."""
