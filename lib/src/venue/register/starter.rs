//! The comments in a new venue file.

/// The opening lines of a venue file.
pub(super) const HEADER: &str = "\
# One ground, for people to read and edit. Landmarks, hazards, fence, rules and
# practice are yours to change; [survey] and [fit] are written by the program.
# Ends and sides: stand at the centre and face end A; left is on your left.
";

/// Examples of the tables that a person may add, as comments.
pub(super) const EXAMPLES: &str = "\
# Add what stands round the ground (remove the # signs):
#
# [fence]
# distance_m = 4.0               # from the line, all round
# [[fence.tight]]                # where it is nearer
# latitude = -36.50000
# longitude = 145.00000
# distance_m = 2.4
# along_m = 20                   # over how much of the line
#
# [[landmark]]                   # something to line up on
# name = \"silo\"
# latitude = -36.50000
# longitude = 145.00000
# width_m = 6.0
# at_night = false
#
# [[hazard]]
# name = \"pit cover\"
# latitude = -36.50000
# longitude = 145.00000
# radius_m = 0.5
#
# [practice]                     # distances that no law fixes
# back_m = 15
#
# [centre_square]                # where it is painted off the ground's centre
# along_m = 1.2                  # toward end A
# across_m = 0.0                 # toward the left side
# turn_deg = 0.0                 # clockwise seen from above
#
# [[other_mark]]                 # another code's lines, a rope, a cricket square
# name = \"cricket square\"
# kind = \"area\"                # or line, rope
# closed = true                  # corners follow; or a place and radius_m
# corner = [{ latitude = -36.5, longitude = 145.0 }, ...]
#
# [record]
# measured_by = \"R. Quill\"
# approved_by = \"A. Plover\"
# approved = \"2026-04-02\"
# valid_until = \"2027-03-31\"
#
# [[reported]]                   # what someone found wrong; on the card until settled
# what = \"tap was moved\"
# place = \"Silo post\"
# date = \"2026-06-20\"
# by = \"B. Wren\"
#
# [[configuration]]              # another way in which the ground is played on
# name = \"senior\"
# default = true                 # the one on the surveyed line
# [[configuration]]
# name = \"junior\"
# inset_m = 12.0                 # inside the surveyed line; or rope_m
# [configuration.rules]
# set = \"juniors-u12\"
";
