#pragma once
// The fins of a block or the plates of a stack as an array that can be laid out anew within the
// same outer size: another number of fins, another thickness or height. Lengths in m.

#include <string>

namespace tiltfin {

enum class FinKind {
  across, ///< of a block, cut edge-on, one above the other along y
  along,  ///< of a block, a medium, one behind the other out of the plane
  plates  ///< of a stack, one in front of the other along x
};

/// The outer size over which fins and gaps follow each other never changes; for plates it counts
/// from the base's face to the last plate's outer face.
struct FinArray {
  FinKind kind = FinKind::across;
  int count = 0;
  double thickness = 0.0;
  double gap = 0.0;       ///< clear air between two neighbours
  double height = 0.0;    ///< along x from the base; 0 for plates
  double outer = 0.0;     ///< fixed
  double first_gap = 0.0; ///< of plates: between base and first plate, 0 when it is as the others
  double length = 0.0;    ///< of the gaps along y; 0 when they do not run along y
};

/// Why a cooler has no such array, as a refusal says it.
struct NoFinArray {
  std::string found;
  std::string allowed;
};

/// The array with `count` fins: its gap follows from the outer size.
[[nodiscard]] FinArray with_count(FinArray array, int count);

inline constexpr int most_fins = 200; ///< that a case file may have
inline constexpr int most_plates = 100;

/// Whole fins that leave gaps from `low` to `high` [m]: the fewest and the most. The fewest is
/// above the most when there are none.
struct CountRange {
  int fewest = 0;
  int most = 0;
};
[[nodiscard]] CountRange counts_for_gaps(const FinArray& array, double low, double high);

/// A length as a case file gives it, to the nanometre [mm].
[[nodiscard]] double rounded_mm(double length);

/// "fins-12_thickness-1.5_height-30", "plates-7_thickness-1": names files.
[[nodiscard]] std::string layout_name(const FinArray& array);

} // namespace tiltfin
