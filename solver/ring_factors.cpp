#include "solver/ring_factors.hpp"

#include "mesh/index.hpp"
#include "solver/closure.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>
#include <tuple>
#include <utility>

namespace tiltfin {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double touching_rings = 1e-9; // relative to the scene: closer than this is touching
constexpr double ring_hole = 1e-6;      // share of a view that may meet nothing: rounding

/// Gauss' points between 0 and 1 and their weights.
struct GaussPoint {
  double at;
  double weight;
};
constexpr std::array<GaussPoint, 4> gauss_points{{{0.069431844202973712, 0.173927422568726929},
                                                  {0.330009478207571868, 0.326072577431273071},
                                                  {0.669990521792428132, 0.326072577431273071},
                                                  {0.930568155797026288, 0.173927422568726929}}};

/// A cylinder, or an annulus across the axis: rings side by side that make one surface.
struct RingSurface {
  bool is_cylinder = false;
  double at = 0.0;            ///< the cylinder's radius, or the annulus' x [m]
  bool looks_up = false;      ///< away from the axis, or along x
  std::vector<double> bounds; ///< ascending: x, or radii, of the ends of its rings [m]
  std::vector<int> ring;      ///< from one to the next
};

RingSurface surface_of(const Strip& ring, int number) {
  if ((ring.y0 == ring.y1) == (ring.x0 == ring.x1)) {
    throw std::invalid_argument("A ring must be a cylinder or lie across its axis.");
  }
  RingSurface surface;
  surface.is_cylinder = ring.y0 == ring.y1;
  const double from = surface.is_cylinder ? ring.x0 : ring.y0;
  const double to = surface.is_cylinder ? ring.x1 : ring.y1;
  surface.at = surface.is_cylinder ? ring.y0 : ring.x0;
  surface.looks_up = surface.is_cylinder == (to > from); // a strip looks to its left
  surface.bounds = {std::min(from, to), std::max(from, to)};
  surface.ring = {number};
  return surface;
}

std::vector<RingSurface> surfaces_of(std::span<const Strip> rings, double tolerance) {
  std::vector<RingSurface> pieces;
  for (std::size_t k = 0; k < rings.size(); ++k) {
    pieces.push_back(surface_of(rings[k], static_cast<int>(k)));
  }
  const auto place = [](const RingSurface& s) {
    return std::tuple(s.is_cylinder, s.looks_up, s.at, s.bounds.front());
  };
  std::ranges::sort(pieces, {}, place);
  std::vector<RingSurface> surfaces;
  for (const RingSurface& piece : pieces) {
    RingSurface* last = surfaces.empty() ? nullptr : &surfaces.back();
    if (last != nullptr && last->is_cylinder == piece.is_cylinder &&
        last->looks_up == piece.looks_up && last->at == piece.at &&
        std::abs(last->bounds.back() - piece.bounds.front()) <= tolerance) {
      last->bounds.push_back(piece.bounds.back());
      last->ring.push_back(piece.ring.front());
    } else {
      surfaces.push_back(piece);
    }
  }
  return surfaces;
}

/// A point that is looked out from, on a ring.
struct RingEye {
  bool on_cylinder = false;
  bool looks_up = false;
  double x = 0.0;
  double r = 0.0;
};

/// A part of all planes of sight, seen in its middle.
struct Fan {
  double cosine = 0.0; ///< of the angle from the radius outwards
  double sine = 0.0;
  double share = 0.0; ///< of the view, all add up to 1
};

/// In a plane of sight: s is the way from the eye across the axis' direction, h along it. Angles
/// are from s towards h.
struct Sight {
  int surface = 0;
  bool beyond = false; ///< of an annulus, where the line of sight leaves the axis again
  double at = 0.0;     ///< s of a cylinder, h of an annulus
  double low = 0.0;    ///< smaller angle of the two ends
  double high = 0.0;
};

/// What is seen from one eye in one fan.
class RingOutlook {
public:
  RingOutlook(std::span<const RingSurface> surfaces, double tolerance)
      : surfaces_(surfaces), tolerance_(tolerance) {}

  /// Adds `weight` times the view factors in this fan to `sum`, by ring.
  void add(const RingEye& eye, const Fan& fan, double weight, std::span<double> sum) {
    eye_ = eye;
    nearest_s_ = -eye.r * fan.cosine;
    nearest_r_ = eye.r * fan.sine;
    collect();
    std::ranges::sort(angles_);
    for (std::size_t k = 0; k + 1 < angles_.size(); ++k) {
      const double low = angles_[k];
      const double high = angles_[k + 1];
      const int front = low < high ? first_seen(0.5 * (low + high)) : -1;
      if (front >= 0) {
        share_out(sights_[index(front)], low, high, weight * fan.share, sum);
      }
    }
  }

private:
  /// Half of the chord at this radius: s of a place is nearest_s_ plus or minus it.
  [[nodiscard]] double half_chord(double radius) const {
    const double square = radius * radius - nearest_r_ * nearest_r_;
    return square > 0.0 ? std::sqrt(square) : 0.0;
  }

  /// Along the axis from the eye; towards where an annulus looks.
  [[nodiscard]] double height(double x) const {
    return eye_.on_cylinder || eye_.looks_up ? x - eye_.x : eye_.x - x;
  }

  void add_sight(int surface, bool beyond, double at, double low, double high) {
    const double floor = eye_.on_cylinder ? -0.5 * pi : 0.0;
    low = std::max(low, floor);
    if (high > low) {
      sights_.push_back({surface, beyond, at, low, high});
      angles_.push_back(low);
      angles_.push_back(high);
    }
  }

  void collect() {
    sights_.clear();
    angles_.clear();
    for (int k = 0; k < static_cast<int>(surfaces_.size()); ++k) {
      if (surfaces_[index(k)].is_cylinder) {
        collect_cylinder(k, surfaces_[index(k)]);
      } else {
        collect_annulus(k, surfaces_[index(k)]);
      }
    }
  }

  /// One that looks outwards is met on the way in, one that looks inwards on the way out.
  void collect_cylinder(int k, const RingSurface& surface) {
    if (surface.at <= nearest_r_) {
      return;
    }
    const double half = half_chord(surface.at);
    const double s = surface.looks_up ? nearest_s_ - half : nearest_s_ + half;
    if (s <= tolerance_) {
      return;
    }
    const double first = std::atan2(height(surface.bounds.front()), s);
    const double last = std::atan2(height(surface.bounds.back()), s);
    add_sight(k, false, s, std::min(first, last), std::max(first, last));
  }

  void collect_annulus(int k, const RingSurface& surface) {
    const double h = height(surface.at);
    const bool faces = surface.looks_up ? surface.at < eye_.x : surface.at > eye_.x;
    if (!faces || std::abs(h) <= tolerance_ || surface.bounds.back() <= nearest_r_) {
      return;
    }
    const double inner = half_chord(surface.bounds.front());
    const double outer = half_chord(surface.bounds.back());
    for (const bool beyond : {false, true}) {
      const double from = std::max(0.0, nearest_s_ + (beyond ? inner : -outer));
      const double to = std::max(0.0, nearest_s_ + (beyond ? outer : -inner));
      if (to > from) {
        const double first = std::atan2(h, from);
        const double last = std::atan2(h, to);
        add_sight(k, beyond, h, std::min(first, last), std::max(first, last));
      }
    }
  }

  /// The sight that is met first at an angle, -1: none.
  [[nodiscard]] int first_seen(double angle) const {
    const double slope = std::tan(angle);
    double shortest = std::numeric_limits<double>::infinity();
    int result = -1;
    for (std::size_t k = 0; k < sights_.size(); ++k) {
      const Sight& sight = sights_[k];
      if (angle <= sight.low || angle >= sight.high) {
        continue;
      }
      const double s = surfaces_[index(sight.surface)].is_cylinder ? sight.at : sight.at / slope;
      if (s < shortest) {
        shortest = s;
        result = static_cast<int>(k);
      }
    }
    return result;
  }

  [[nodiscard]] double angle_of(const Sight& sight, const RingSurface& surface,
                                double bound) const {
    if (surface.is_cylinder) {
      return std::atan2(height(bound), sight.at);
    }
    const double half = half_chord(bound);
    return std::atan2(sight.at,
                      std::max(0.0, sight.beyond ? nearest_s_ + half : nearest_s_ - half));
  }

  /// Share of the fan's view up to an angle: the integral of the cosine from the eye's normal.
  [[nodiscard]] double view_up_to(double angle) const {
    const double sine = std::sin(angle);
    return eye_.on_cylinder ? (angle + sine * std::cos(angle)) / pi : sine * sine;
  }

  void share_out(const Sight& sight, double low, double high, double weight,
                 std::span<double> sum) const {
    const RingSurface& surface = surfaces_[index(sight.surface)];
    double before = angle_of(sight, surface, surface.bounds.front());
    for (std::size_t k = 0; k < surface.ring.size(); ++k) {
      const double after = angle_of(sight, surface, surface.bounds[k + 1]);
      const double from = std::max(low, std::min(before, after));
      const double to = std::min(high, std::max(before, after));
      if (to > from) {
        sum[index(surface.ring[k])] += weight * (view_up_to(to) - view_up_to(from));
      }
      before = after;
    }
  }

  std::span<const RingSurface> surfaces_;
  double tolerance_;
  RingEye eye_;
  double nearest_s_ = 0.0; ///< where the line of sight is nearest to the axis
  double nearest_r_ = 0.0; ///< how near
  std::vector<Sight> sights_;
  std::vector<double> angles_;
};

/// The fan at a place of the fans' range: on a cylinder the sine of the angle from the normal, on
/// an annulus the angle over half a turn, in both of which the view is even.
Fan fan_at(const RingEye& eye, double at, double share) {
  if (eye.on_cylinder) {
    return {std::sqrt(1.0 - at * at) * (eye.looks_up ? 1.0 : -1.0), at, share};
  }
  return {std::cos(pi * at), std::sin(pi * at), share};
}

/// The fans of an eye: Gauss' points between `breaks`, where a cylinder comes into sight and the
/// view jumps. Both ends are spread out, so that roots of the distance from them become smooth.
std::vector<Fan> fans_of(const RingEye& eye, std::vector<double> breaks, int fans) {
  std::ranges::sort(breaks);
  std::vector<Fan> result;
  for (std::size_t k = 0; k + 1 < breaks.size(); ++k) {
    const double width = breaks[k + 1] - breaks[k];
    const int panels = std::max(1, static_cast<int>(std::lround(0.25 * width * fans)));
    for (int panel = 0; width > touching_rings && panel < panels; ++panel) {
      for (const GaussPoint& point : gauss_points) {
        const double t = (panel + point.at) / panels;
        const double at = breaks[k] + width * t * t * (3.0 - 2.0 * t);
        result.push_back(fan_at(eye, at, width * 6.0 * t * (1.0 - t) * point.weight / panels));
      }
    }
  }
  return result;
}

/// Rings, and what they see of each other.
class RingScene {
public:
  RingScene(std::span<const Strip> rings, const RingSampling& sampling)
      : rings_(rings), sampling_(sampling), n_(static_cast<int>(rings.size())) {
    double size = 0.0;
    for (const Strip& ring : rings) {
      areas_.push_back(ring_area(ring));
      total_width_ += ring.length();
      size = std::max({size, std::abs(ring.x0), ring.y0, std::abs(ring.x1), ring.y1});
    }
    surfaces_ = surfaces_of(rings, touching_rings * size);
    tolerance_ = touching_rings * size;
    for (const RingSurface& surface : surfaces_) {
      if (surface.is_cylinder) {
        radii_.push_back(surface.at);
      } else {
        radii_.push_back(surface.bounds.front());
        radii_.push_back(surface.bounds.back());
      }
    }
    std::ranges::sort(radii_);
    radii_.erase(std::unique(radii_.begin(), radii_.end()), radii_.end());
  }

  ViewFactors solve() {
    std::vector<double> found(index(n_) * index(n_), 0.0); // A_i F_ij as ring i sees it
    for (int i = 0; i < n_; ++i) {
      look_out(i, std::span<double>(found.data() + index(i) * index(n_), index(n_)));
    }
    ViewFactors result;
    result.n = n_;
    result.exchange.assign(found.size(), 0.0);
    for (int i = 0; i < n_; ++i) {
      for (int j = i; j < n_; ++j) {
        const double from_i = found[index(i) * index(n_) + index(j)];
        const double from_j = found[index(j) * index(n_) + index(i)];
        result.raw_reciprocity =
            std::max(result.raw_reciprocity,
                     std::abs(from_i - from_j) / std::min(areas_[index(i)], areas_[index(j)]));
        // What a ring finds errs by a share of its own area: the smaller one knows better.
        const double a = areas_[index(i)] * areas_[index(i)];
        const double b = areas_[index(j)] * areas_[index(j)];
        const double mean = (b * from_i + a * from_j) / (a + b);
        result.exchange[index(i) * index(n_) + index(j)] = mean;
        result.exchange[index(j) * index(n_) + index(i)] = mean;
      }
    }
    result.raw_closure = closure_error(result.exchange, areas_);
    close_rows(result.exchange, std::vector<char>(found.size(), 1), areas_);
    return result;
  }

private:
  void look_out(int own, std::span<double> row) const {
    const RingSurface piece = surface_of(rings_[index(own)], own);
    RingOutlook outlook(surfaces_, tolerance_);
    double sum = 0.0;
    const int panels = panels_of(own);
    for (int p = 0; p < panels; ++p) {
      for (const GaussPoint& point : gauss_points) {
        const RingEye eye = eye_on(piece, (p + point.at) / panels);
        const double area = areas_[index(own)] * point.weight / panels;
        for (const Fan& fan : fans_of(eye, breaks_of(eye), sampling_.fans)) {
          outlook.add(eye, fan, area, row);
        }
      }
    }
    for (const double exchange : row) {
      sum += exchange;
    }
    if (!(std::abs(sum / areas_[index(own)] - 1.0) < ring_hole)) {
      throw std::invalid_argument("The surfaces do not close the space that they look into.");
    }
  }

  /// In proportion to its width, up to eight times as many as a ring of mean width has.
  [[nodiscard]] int panels_of(int ring) const {
    const double wide = rings_[index(ring)].length() * n_ / total_width_;
    return sampling_.panels * std::clamp(static_cast<int>(std::lround(wide)), 1, 8);
  }

  /// At a share of a ring's area.
  [[nodiscard]] static RingEye eye_on(const RingSurface& ring, double part) {
    const double low = ring.bounds.front();
    const double high = ring.bounds.back();
    RingEye eye{ring.is_cylinder, ring.looks_up, ring.at, ring.at};
    if (ring.is_cylinder) {
      eye.x = low + part * (high - low);
    } else {
      eye.r = std::sqrt(low * low + part * (high * high - low * low));
    }
    return eye;
  }

  /// Where the view from an eye jumps, as shares of its fans: lines of sight touch a radius.
  [[nodiscard]] std::vector<double> breaks_of(const RingEye& eye) const {
    std::vector<double> breaks{0.0, 1.0};
    if (!eye.on_cylinder) {
      breaks.push_back(0.5);
    }
    if (eye.on_cylinder && eye.looks_up) {
      return breaks; // all lines go outwards
    }
    for (const double radius : radii_) {
      const double sine = radius / eye.r;
      if (radius > tolerance_ && sine < 1.0) {
        breaks.push_back(eye.on_cylinder ? sine : 1.0 - std::asin(sine) / pi);
      }
    }
    return breaks;
  }

  std::span<const Strip> rings_;
  RingSampling sampling_;
  int n_;
  double tolerance_ = 0.0;
  double total_width_ = 0.0;
  std::vector<double> areas_;
  std::vector<RingSurface> surfaces_;
  std::vector<double> radii_; ///< of edges and cylinders, ascending
};

} // namespace

double ring_area(const Strip& ring) {
  return pi * (ring.y0 + ring.y1) * ring.length();
}

ViewFactors ring_view_factors(std::span<const Strip> rings, const RingSampling& sampling) {
  return RingScene(rings, sampling).solve();
}

} // namespace tiltfin
