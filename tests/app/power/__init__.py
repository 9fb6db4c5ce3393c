"""What is on the disk when the power goes: recorded writes, and the disks they may have left."""
