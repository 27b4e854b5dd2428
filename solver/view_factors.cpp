#include "solver/view_factors.hpp"

#include "mesh/index.hpp"
#include "solver/closure.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace tiltfin {

namespace {

constexpr double same_place = 1e-9; // relative to the scene: closer than this is touching
constexpr double hole = 1e-6;       // share of a view that may meet nothing: rounding at corners

struct Point {
  double x = 0.0;
  double y = 0.0;
};

Point operator-(const Point& a, const Point& b) {
  return {a.x - b.x, a.y - b.y};
}
double dot(const Point& a, const Point& b) {
  return a.x * b.x + a.y * b.y;
}
double cross(const Point& a, const Point& b) {
  return a.x * b.y - a.y * b.x;
}
double distance(const Point& a, const Point& b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

/// A strip, or the part of it in front of another one.
struct Segment {
  Point a;
  Point b;
  [[nodiscard]] double length() const { return distance(a, b); }
  [[nodiscard]] Point at(double s) const { return {a.x + s * (b.x - a.x), a.y + s * (b.y - a.y)}; }
  /// Height of a point above the strip's plane, on the side that it looks to.
  [[nodiscard]] double above(const Point& p) const { return cross(b - a, p - a) / length(); }
};

Segment segment_of(const Strip& strip) {
  return {{strip.x0, strip.y0}, {strip.x1, strip.y1}};
}

double strings(const Segment& s, const Segment& t) {
  return 0.5 * std::abs(distance(s.a, t.a) + distance(s.b, t.b) - distance(s.a, t.b) -
                        distance(s.b, t.a));
}

/// The part of `s` in front of the plane of `viewer`; false when none is.
bool clip(Segment& s, const Segment& viewer, double tolerance) {
  const double at_a = viewer.above(s.a);
  const double at_b = viewer.above(s.b);
  if (at_a <= tolerance && at_b <= tolerance) {
    return false;
  }
  const Segment whole = s;
  if (at_a < -tolerance) {
    s.a = whole.at(at_a / (at_a - at_b));
  } else if (at_b < -tolerance) {
    s.b = whole.at(at_a / (at_a - at_b));
  }
  return true;
}

/// The quadrilateral between two segments, for the question whether anything reaches into it.
class Hull {
public:
  Hull(const Segment& s, const Segment& t, double tolerance)
      : corners_{s.a, s.b, t.a, t.b}, tolerance_(tolerance) {
    low_ = high_ = s.a;
    for (const Point& p : corners_) {
      low_ = {std::min(low_.x, p.x), std::min(low_.y, p.y)};
      high_ = {std::max(high_.x, p.x), std::max(high_.y, p.y)};
    }
  }

  /// Separating axes: the box, the normals of all lines through two corners (the hull's edges among
  /// them), the normal of the segment.
  [[nodiscard]] bool is_entered_by(const Segment& s) const {
    if (std::max(s.a.x, s.b.x) <= low_.x + tolerance_ ||
        std::min(s.a.x, s.b.x) >= high_.x - tolerance_ ||
        std::max(s.a.y, s.b.y) <= low_.y + tolerance_ ||
        std::min(s.a.y, s.b.y) >= high_.y - tolerance_) {
      return false;
    }
    if (is_apart_along(s.b - s.a, s)) {
      return false;
    }
    for (std::size_t i = 0; i < corners_.size(); ++i) {
      for (std::size_t j = i + 1; j < corners_.size(); ++j) {
        if (is_apart_along(corners_[j] - corners_[i], s)) {
          return false;
        }
      }
    }
    return true;
  }

private:
  [[nodiscard]] bool is_apart_along(const Point& edge, const Segment& s) const {
    const double size = std::hypot(edge.x, edge.y);
    if (size <= tolerance_) {
      return false;
    }
    const auto project = [&](const Point& p) { return cross(edge, p - corners_[0]) / size; };
    double low = std::numeric_limits<double>::infinity();
    double high = -low;
    for (const Point& p : corners_) {
      low = std::min(low, project(p));
      high = std::max(high, project(p));
    }
    const double first = project(s.a);
    const double second = project(s.b);
    return std::max(first, second) <= low + tolerance_ ||
           std::min(first, second) >= high - tolerance_;
  }

  std::array<Point, 4> corners_;
  Point low_;
  Point high_;
  double tolerance_;
};

/// What is seen from one point: a sweep through the sine of the angle from the normal, in which the
/// view factor of a piece is half its length.
class Outlook {
public:
  Outlook(std::span<const Segment> all, double tolerance) : all_(all), tolerance_(tolerance) {}

  /// Adds `weight` times the view factor of every strip, seen from `eye` on strip `own`, to `sum`.
  void add(int own, const Point& eye, double weight, std::span<double> sum) {
    collect(own, eye);
    active_.clear();
    for (std::size_t k = 0; k < events_.size(); ++k) {
      const Event& event = events_[k];
      if (event.starts) {
        active_.push_back(event.seen);
      } else {
        active_.erase(std::find(active_.begin(), active_.end(), event.seen));
      }
      const double width = k + 1 < events_.size() ? events_[k + 1].sine - event.sine : 0.0;
      if (width > 0.0 && !active_.empty()) {
        sum[index(nearest(event.sine + 0.5 * width))] += 0.5 * weight * width;
      }
    }
  }

private:
  /// A strip in the eye's own frame: x along the eye's strip, y above it.
  struct Seen {
    int strip = 0;
    Point a;
    Point b;
  };
  struct Event {
    double sine = 0.0;
    int seen = 0;
    bool starts = false;
  };

  void collect(int own, const Point& eye) {
    seen_.clear();
    events_.clear();
    const Segment& strip = all_[index(own)];
    const double length = strip.length();
    const Point along{(strip.b.x - strip.a.x) / length, (strip.b.y - strip.a.y) / length};
    for (int k = 0; k < static_cast<int>(all_.size()); ++k) {
      const Segment& other = all_[index(k)];
      if (k == own || other.above(eye) <= tolerance_) {
        continue;
      }
      const auto place = [&](const Point& p) {
        return Point{dot(along, p - eye), cross(along, p - eye)};
      };
      Segment local{place(other.a), place(other.b)};
      if (!clip(local, Segment{{0.0, 0.0}, {1.0, 0.0}}, tolerance_)) {
        continue;
      }
      const auto sine = [](const Point& p) { return p.x / std::hypot(p.x, p.y); };
      const double first = sine(local.a);
      const double second = sine(local.b);
      const int number = static_cast<int>(seen_.size());
      seen_.push_back({k, local.a, local.b});
      events_.push_back({std::min(first, second), number, true});
      events_.push_back({std::max(first, second), number, false});
    }
    std::sort(events_.begin(), events_.end(), [](const Event& a, const Event& b) {
      return a.sine != b.sine ? a.sine < b.sine : (a.seen != b.seen ? a.seen < b.seen : a.starts);
    });
  }

  [[nodiscard]] int nearest(double sine) const {
    const Point ray{sine, std::sqrt(1.0 - sine * sine)};
    double shortest = std::numeric_limits<double>::infinity();
    int result = -1;
    for (const int number : active_) {
      const Seen& seen = seen_[index(number)];
      const Point edge = seen.b - seen.a;
      const double range = cross(seen.a, edge) / cross(ray, edge);
      if (result < 0 || range < shortest) {
        shortest = range;
        result = seen.strip;
      }
    }
    return result;
  }

  std::span<const Segment> all_;
  double tolerance_;
  std::vector<Seen> seen_;
  std::vector<Event> events_;
  std::vector<int> active_;
};

/// The pairs of a scene: hidden from each other, in full view, or to be sampled.
class Scene {
public:
  Scene(std::span<const Strip> strips, int points)
      : n_(static_cast<int>(strips.size())), points_(points) {
    double size = 0.0;
    for (const Strip& strip : strips) {
      all_.push_back(segment_of(strip));
      size = std::max(
          {size, std::abs(strip.x0), std::abs(strip.y0), std::abs(strip.x1), std::abs(strip.y1)});
    }
    tolerance_ = same_place * size;
  }

  ViewFactors solve() {
    result_.n = n_;
    result_.exchange.assign(index(n_) * index(n_), 0.0);
    sampled_.assign(index(n_) * index(n_), 0);
    sort_pairs();
    sample();
    enforce();
    return std::move(result_);
  }

private:
  double& at(int i, int j) { return result_.exchange[index(i) * index(n_) + index(j)]; }
  [[nodiscard]] bool is_sampled(int i, int j) const {
    return sampled_[index(i) * index(n_) + index(j)] != 0;
  }

  void sort_pairs() {
    for (int i = 0; i < n_; ++i) {
      for (int j = i + 1; j < n_; ++j) {
        Segment s = all_[index(i)];
        Segment t = all_[index(j)];
        if (!clip(s, all_[index(j)], tolerance_) || !clip(t, all_[index(i)], tolerance_)) {
          continue;
        }
        if (is_clear(i, j, Hull(s, t, tolerance_))) {
          at(i, j) = at(j, i) = strings(s, t);
        } else {
          sampled_[index(i) * index(n_) + index(j)] = 1;
          sampled_[index(j) * index(n_) + index(i)] = 1;
        }
      }
    }
  }

  [[nodiscard]] bool is_clear(int i, int j, const Hull& hull) const {
    for (int k = 0; k < n_; ++k) {
      if (k != i && k != j && hull.is_entered_by(all_[index(k)])) {
        return false;
      }
    }
    return true;
  }

  void sample() {
    std::vector<double> found(index(n_) * index(n_), 0.0); // A_i F_ij as strip i sees it
    Outlook outlook(all_, tolerance_);
    for (int i = 0; i < n_; ++i) {
      const std::span<double> row(found.data() + index(i) * index(n_), index(n_));
      const Segment& strip = all_[index(i)];
      for (int p = 0; p < points_; ++p) {
        outlook.add(i, strip.at((p + 0.5) / points_), strip.length() / points_, row);
      }
    }
    check_for_holes(found);
    for (int i = 0; i < n_; ++i) {
      for (int j = i + 1; j < n_; ++j) {
        if (!is_sampled(i, j)) {
          continue;
        }
        const double a = all_[index(i)].length();
        const double b = all_[index(j)].length();
        const double from_i = found[index(i) * index(n_) + index(j)];
        const double from_j = found[index(j) * index(n_) + index(i)];
        result_.raw_reciprocity =
            std::max(result_.raw_reciprocity, std::abs(from_i - from_j) / std::min(a, b));
        // The error of a midpoint rule grows with the square of its step.
        at(i, j) = at(j, i) = (b * b * from_i + a * a * from_j) / (a * a + b * b);
      }
    }
  }

  /// Every line of sight of a closed scene ends on a strip, whatever the number of points.
  void check_for_holes(const std::vector<double>& found) const {
    for (int i = 0; i < n_; ++i) {
      double sum = 0.0;
      for (int j = 0; j < n_; ++j) {
        sum += found[index(i) * index(n_) + index(j)];
      }
      if (!(std::abs(sum / all_[index(i)].length() - 1.0) < hole)) {
        throw std::invalid_argument("The surfaces do not close the space that they look into.");
      }
    }
  }

  void enforce() {
    std::vector<double> lengths;
    for (const Segment& strip : all_) {
      lengths.push_back(strip.length());
    }
    result_.raw_closure = closure_error(result_.exchange, lengths);
    close_rows(result_.exchange, sampled_, lengths);
  }

  int n_;
  int points_;
  double tolerance_ = 0.0;
  std::vector<Segment> all_;
  std::vector<char> sampled_;
  ViewFactors result_;
};

} // namespace

double Strip::length() const {
  return std::hypot(x1 - x0, y1 - y0);
}

double crossed_strings(const Strip& a, const Strip& b) {
  return strings(segment_of(a), segment_of(b));
}

ViewFactors view_factors(std::span<const Strip> strips, int points) {
  return Scene(strips, points).solve();
}

} // namespace tiltfin
