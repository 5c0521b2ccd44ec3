"""Pictures of boards, joints and outlines, each drawn once."""
