#include "mesh/axis.hpp"

#include "mesh/mesh_error.hpp"

#include <boost/math/tools/roots.hpp>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

constexpr double count_slack = 1e-9;  ///< a count this little above a whole number is that number
constexpr double largest_count = 1e6; ///< cells in one segment; more is a mistake in the sizes

/// The stretch between two breaks with the cell size h(x) = min(size_a + slope x,
/// size_b + slope (length - x), cap): a ramp, a plateau (perhaps empty) and a ramp. The map
/// s(x) = integral of dx/h counts cells; on a ramp their widths grow by exp(slope) from one to the
/// next. The sizes here are h at the ends.
struct Stretch {
  double length = 0.0;
  double size_a = 0.0;
  double size_b = 0.0;
  double slope = 0.0;
  double top = 0.0;    ///< size on the plateau
  double ramp_a = 0.0; ///< length of the ramp at either end
  double ramp_b = 0.0;
  double count_a = 0.0; ///< cells on the ramps and the plateau
  double count_b = 0.0;
  double count_top = 0.0;

  [[nodiscard]] double count() const { return (count_a + count_b) + count_top; }
};

double ramp_count(double size, double slope, double ramp) {
  return slope > 0.0 ? std::log1p(slope * ramp / size) / slope : 0.0;
}

/// h at the foot of a ramp divided by the width of the ramp's first cell.
double foot(double slope) {
  return slope > 0.0 ? slope / std::expm1(slope) : 1.0;
}

/// The stretch whose first cells, next to the breaks, have the widths wanted there (or less).
Stretch make_stretch(const Break& a, const Break& b, double cap, double slope) {
  Stretch stretch;
  const double length = b.position - a.position;
  const double reach = std::expm1(slope) * length;
  stretch.length = length;
  stretch.slope = slope;
  stretch.size_a = foot(slope) * std::min({a.size, cap, b.size + reach});
  stretch.size_b = foot(slope) * std::min({b.size, cap, a.size + reach});
  stretch.top = std::min(stretch.size_a, stretch.size_b);
  if (slope > 0.0) {
    const double to_cap_a = (cap - stretch.size_a) / slope;
    const double to_cap_b = (cap - stretch.size_b) / slope;
    if (to_cap_a + to_cap_b < length) {
      stretch.ramp_a = to_cap_a;
      stretch.ramp_b = to_cap_b;
      stretch.top = cap;
    } else {
      const double lead = std::clamp((stretch.size_b - stretch.size_a) / slope, -length, length);
      stretch.ramp_a = 0.5 * (length + lead);
      stretch.ramp_b = 0.5 * (length - lead);
      stretch.top = 0.5 * (stretch.size_a + stretch.size_b + slope * length);
    }
  }
  stretch.count_a = ramp_count(stretch.size_a, slope, stretch.ramp_a);
  stretch.count_b = ramp_count(stretch.size_b, slope, stretch.ramp_b);
  const double plateau = std::max(0.0, length - (stretch.ramp_a + stretch.ramp_b));
  stretch.count_top = plateau / stretch.top;
  return stretch;
}

/// The stretch whose cells change from one width to the other as slowly as they can.
Stretch flattest(const Break& a, const Break& b, double cap, double steepest) {
  const double difference = std::abs(std::min(a.size, cap) - std::min(b.size, cap));
  const double slope = std::log1p(difference / (b.position - a.position));
  return make_stretch(a, b, cap, std::min(steepest, slope));
}

/// The two ends of what a stretch can be.
struct Bounds {
  Stretch flat;
  Stretch steep;
  int n = 0; ///< the least even number of cells, at least two, none larger than wanted
};

Bounds bounds(const Break& a, const Break& b, double cap, double steepest) {
  Bounds result{flattest(a, b, cap, steepest), make_stretch(a, b, cap, steepest)};
  const double least = std::min(result.flat.count(), result.steep.count());
  if (!(least < largest_count)) {
    throw MeshError("The cell sizes wanted are too small: more than a million cells "
                    "would be needed between two neighbouring mesh lines.");
  }
  result.n = 2 * std::max(1, static_cast<int>(std::ceil(0.5 * (least - count_slack))));
  return result;
}

/// The stretch of which the map counts the whole number of cells; if there is none (all cells must
/// be smaller than wanted), the nearest.
Stretch fit_slope(const Break& a, const Break& b, double cap, const Bounds& ends) {
  const int n = ends.n;
  const double flat = ends.flat.count();
  const double steep = ends.steep.count();
  const bool falls = flat > n;
  if (falls == (steep > n)) {
    return std::abs(flat - n) <= std::abs(steep - n) ? ends.flat : ends.steep;
  }
  const auto side = [&](double slope) {
    return (make_stretch(a, b, cap, slope).count() > n) == falls ? -1.0 : 1.0;
  };
  const auto never = [](double, double) { return false; };
  boost::uintmax_t evaluations = 63; // 60 halvings, more than the digits of a double
  const double slope =
      boost::math::tools::bisect(side, ends.flat.slope, ends.steep.slope, never, evaluations)
          .second;
  return make_stretch(a, b, cap, slope);
}

Stretch mirrored(const Stretch& stretch) {
  Stretch result = stretch;
  std::swap(result.size_a, result.size_b);
  std::swap(result.ramp_a, result.ramp_b);
  std::swap(result.count_a, result.count_b);
  return result;
}

/// The inverse of the map: distance from end a at which `s` cells lie behind, for s up to half the
/// count (the other half is reached from end b, so mirrored breaks give mirrored faces).
double distance(const Stretch& stretch, double s) {
  const auto ramp = [slope = stretch.slope](double size, double cells) {
    return slope > 0.0 ? size * std::expm1(slope * cells) / slope : size * cells;
  };
  if (s <= stretch.count_a) {
    return ramp(stretch.size_a, s);
  }
  if (s <= stretch.count_a + stretch.count_top) {
    return stretch.ramp_a + (s - stretch.count_a) * stretch.top;
  }
  return stretch.length - ramp(stretch.size_b, stretch.count() - s);
}

void append_faces(std::vector<double>& faces, const Break& a, const Break& b,
                  const Stretch& stretch, int n) {
  const Stretch back = mirrored(stretch);
  for (int k = 1; k < n; ++k) {
    const double from_a = a.position + distance(stretch, stretch.count() * k / n);
    const double from_b = b.position - distance(back, stretch.count() * (n - k) / n);
    if (2 * k == n) {
      faces.push_back(0.5 * (from_a + from_b));
    } else {
      faces.push_back(2 * k < n ? from_a : from_b);
    }
  }
  faces.push_back(b.position);
}

void require(bool holds, const char* message) {
  if (!holds) {
    throw std::invalid_argument(message);
  }
}

void check_input(std::span<const Break> breaks, std::span<const double> caps, double growth) {
  require(breaks.size() >= 2, "An axis needs at least two breaks.");
  require(caps.size() + 1 == breaks.size(), "An axis needs one cap per segment.");
  require(growth >= 1.0 && std::isfinite(growth), "The growth ratio must be at least 1.");
  for (const Break& line : breaks) {
    require(std::isfinite(line.position) && line.size > 0.0 && std::isfinite(line.size),
            "A break needs a finite position and a positive, finite cell size.");
  }
  for (std::size_t k = 0; k < caps.size(); ++k) {
    require(breaks[k].position < breaks[k + 1].position, "The breaks of an axis must ascend.");
    require(caps[k] > 0.0, "The largest cell of a segment must be positive.");
  }
}

/// Forward and backward: no size exceeds a neighbour's by more than distance times (growth - 1),
/// which is how far widths get that grow by that ratio.
void sweep(std::span<Break> breaks, double growth) {
  const auto limit = [growth](Break& line, const Break& other) {
    const double apart = std::abs(line.position - other.position);
    line.size = std::min(line.size, other.size + (growth - 1.0) * apart);
  };
  for (std::size_t k = 1; k < breaks.size(); ++k) {
    limit(breaks[k], breaks[k - 1]);
  }
  for (std::size_t k = breaks.size() - 1; k > 0; --k) {
    limit(breaks[k - 1], breaks[k]);
  }
}

/// Lowers the sizes at the ends of every segment that an even number of cells cannot fill without
/// all of them being smaller than wanted, but none below its floor. All segments look at the same
/// sizes, so the outcome does not depend on the direction. True if anything changed.
bool fit_ends(std::span<Break> breaks, std::span<const double> caps, double slope,
              std::span<const double> floors) {
  std::vector<double> sizes;
  for (const Break& line : breaks) {
    sizes.push_back(line.size);
  }
  bool changed = false;
  for (std::size_t k = 0; k < caps.size(); ++k) {
    const Bounds ends = bounds(breaks[k], breaks[k + 1], caps[k], slope);
    const double count = ends.flat.count();
    if (std::max(count, ends.steep.count()) >= ends.n - count_slack) {
      continue;
    }
    for (const std::size_t end : {k, k + 1}) {
      const double wanted = std::max(floors[end], breaks[end].size * count / ends.n);
      changed = changed || wanted < sizes[end] * (1.0 - count_slack);
      sizes[end] = std::min(sizes[end], wanted);
    }
  }
  for (std::size_t k = 0; k < breaks.size(); ++k) {
    breaks[k].size = sizes[k];
  }
  return changed;
}

} // namespace

Axis make_axis(std::span<const Break> breaks, std::span<const double> caps, double growth,
               int level) {
  check_input(breaks, caps, growth);
  require(level >= 0 && level <= 2, "The level of an axis must be 0, 1 or 2.");
  const double slope = std::log(growth);
  Axis axis;
  axis.faces.push_back(breaks.front().position);
  for (std::size_t k = 0; k < caps.size(); ++k) {
    const Break& a = breaks[k];
    const Break& b = breaks[k + 1];
    const Bounds ends = bounds(a, b, caps[k], slope);
    const int half = ends.n / 2;
    const int n = level == 0 ? ends.n : (level == 1 ? half : (half + 1) / 2);
    append_faces(axis.faces, a, b, fit_slope(a, b, caps[k], ends), n);
  }
  return axis;
}

void balance_sizes(std::span<Break> breaks, std::span<const double> caps, double growth) {
  check_input(breaks, caps, growth);
  const double slope = std::log(growth);
  for (std::size_t k = 0; k < caps.size(); ++k) {
    const double half = 0.5 * (breaks[k + 1].position - breaks[k].position);
    for (const std::size_t end : {k, k + 1}) {
      breaks[end].size = std::min({breaks[end].size, caps[k], half});
    }
  }
  sweep(breaks, growth);
  std::vector<double> floors;
  for (const Break& line : breaks) {
    floors.push_back(0.5 * line.size);
  }
  constexpr int passes = 100; // sizes only fall and stop at their floors; a handful is usual
  for (int k = 0; k < passes && fit_ends(breaks, caps, slope, floors); ++k) {
    sweep(breaks, growth);
  }
}

int cell_at(const Axis& axis, double position) {
  const auto after = std::upper_bound(axis.faces.begin(), axis.faces.end(), position);
  const int cell = static_cast<int>(after - axis.faces.begin()) - 1;
  return std::clamp(cell, 0, axis.n() - 1);
}

int face_at(const Axis& axis, double position) {
  const int cell = cell_at(axis, position);
  return position - axis.at(cell) <= axis.at(cell + 1) - position ? cell : cell + 1;
}

} // namespace tiltfin
