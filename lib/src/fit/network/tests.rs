//! Whole notebooks through the door.
