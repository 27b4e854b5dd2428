#include "post/reports/tilt_facts.hpp"

#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <set>

namespace tiltfin {
namespace {

constexpr double turn_deg = 360.0;
constexpr double slack_deg = 1e-6;
constexpr double least_jump = 0.03; // of the smaller rise
constexpr double jump_over_median = 3.0;
constexpr std::size_t most_jumps = 4;

/// The flow of a way where there are two, else the one there is.
const Outcome& flow_of(const TiltPoint& point, SweepWay way) {
  return has_two_flows(point) && way == SweepWay::falling ? point.falling : point.first();
}

/// From a to the next angle b, over the end of a turn too.
double width_between(double a, double b) {
  return b > a ? b - a : b + turn_deg - a;
}

struct Neighbours {
  const TiltPoint* from;
  const TiltPoint* to;
};

std::vector<Neighbours> neighbours_of(const TiltCurve& curve, bool is_closed) {
  std::vector<Neighbours> all;
  for (std::size_t k = 0; k + 1 < curve.size(); ++k) {
    all.push_back({curve[k], curve[k + 1]});
  }
  if (is_closed && curve.size() > 2) {
    all.push_back({curve.back(), curve.front()});
  }
  return all;
}

bool has_rise(const Outcome& outcome) {
  return is_solved(outcome.status) && std::isfinite(outcome.base_rise_mean_k.value);
}

double change_between(const Outcome& a, const Outcome& b) {
  return has_rise(a) && has_rise(b) ? std::abs(b.base_rise_mean_k.value - a.base_rise_mean_k.value)
                                    : nan;
}

/// Without those between the angles asked for.
TiltCurve asked_of(const TiltCurve& curve) {
  TiltCurve asked;
  std::ranges::copy_if(curve, std::back_inserter(asked),
                       [](const TiltPoint* point) { return !point->is_added; });
  return asked;
}

/// Finds the steepest of the pairs between the ends of a jump.
void narrow(const TiltCurve& curve, TiltJump& jump) {
  const std::size_t n = curve.size();
  std::size_t k = static_cast<std::size_t>(std::ranges::find(curve, jump.from) - curve.begin());
  double largest = -1.0;
  while (curve[k] != jump.to) {
    const TiltPoint* next = curve[(k + 1) % n];
    const double change = change_between(flow_of(*curve[k], jump.way), flow_of(*next, jump.way));
    if (change > largest) {
      largest = change;
      jump.steep_from = curve[k];
      jump.steep_to = next;
    }
    k = (k + 1) % n;
  }
}

/// Median change from one angle asked for to the next, both ways; 0 where there is none.
double median_change(const TiltCurve& asked, bool is_closed) {
  std::vector<double> changes;
  for (const Neighbours& pair : neighbours_of(asked, is_closed)) {
    for (const SweepWay way : {SweepWay::rising, SweepWay::falling}) {
      const double change = change_between(flow_of(*pair.from, way), flow_of(*pair.to, way));
      if (std::isfinite(change)) {
        changes.push_back(change);
      }
    }
  }
  if (changes.empty()) {
    return 0.0;
  }
  const auto middle = changes.begin() + static_cast<std::ptrdiff_t>(changes.size() / 2);
  std::ranges::nth_element(changes, middle);
  return *middle;
}

bool is_jump(const Outcome& a, const Outcome& b, double median) {
  const double change = change_between(a, b);
  const Estimate& first = a.base_rise_mean_k;
  const Estimate& second = b.base_rise_mean_k;
  return change > least_jump * std::min(first.value, second.value) &&
         change > jump_over_median * median && !is_too_close(first, second);
}

/// Of a panel state, ascending.
std::vector<double> angles_of(const TiltReport& report, const std::string& panel) {
  std::vector<double> angles;
  for (const TiltLimit& limit : report.limits) {
    if (limit.panel == panel) {
      angles.push_back(limit.tilt_deg);
    }
  }
  return angles;
}

/// Adds the angles beside one that is known, where no neighbour is as near.
void want_beside(double angle, const std::vector<double>& angles, bool is_closed,
                 std::set<double>& wanted) {
  const auto place = std::ranges::find(angles, angle);
  const bool is_first = place == angles.begin();
  const bool is_last = place + 1 == angles.end();
  const double first = angles.front();
  if (!is_first || is_closed) {
    const double before = is_first ? angles.back() : *(place - 1);
    if (width_between(before, angle) > fine_step_deg + slack_deg) {
      const double beside = angle - fine_step_deg;
      wanted.insert(beside < first ? beside + turn_deg : beside);
    }
  }
  if (!is_last || is_closed) {
    const double after = is_last ? angles.front() : *(place + 1);
    if (width_between(angle, after) > fine_step_deg + slack_deg) {
      const double beside = angle + fine_step_deg;
      wanted.insert(beside < first + turn_deg ? beside : beside - turn_deg);
    }
  }
}

/// Of two angles with two flows the one where their rises differ more.
const TiltPoint* wider(const TiltPoint* a, const TiltPoint* b) {
  return change_between(b->rising, b->falling) > change_between(a->rising, a->falling) ? b : a;
}

std::string from_to(const std::string& before, const std::string& after) {
  return before == after ? before + " in both" : before + " to " + after;
}

std::string fed_by(const Outcome& outcome) {
  return outcome.feeding == Feeding::fed
             ? fmt::format("{} °C", number_or_dash(outcome.air_into_fins_c.value, 1))
             : "none (stagnant)";
}

/// How much of the change of the rise is that of the air before the fins.
std::string share_of_air(const Outcome& a, const Outcome& b) {
  if (a.feeding != Feeding::fed || b.feeding != Feeding::fed) {
    return "";
  }
  const double air = b.air_into_fins_c.value - a.air_into_fins_c.value;
  const double all = b.base_rise_mean_k.value - a.base_rise_mean_k.value;
  if (!std::isfinite(air)) {
    return "";
  }
  return air * all >= 0.0 ? fmt::format(" ({:+.1f} of the {:+.1f} K)", air, all)
                          : fmt::format(" (which alone would be {:+.1f} K)", air);
}

/// Heat of a group, % of all released; NaN when it is not there.
double group_percent(const Outcome& outcome, const std::string& group) {
  for (const HeatRow& row : outcome.heat) {
    if (row.account == HeatAccount::groups && row.part == group) {
      return row.share_percent.value;
    }
  }
  return nan;
}

/// The group whose share of the heat changes most, where that is a percent or more.
std::string heat_that_moved(const Outcome& a, const Outcome& b) {
  std::string moved;
  double largest = 1.0;
  for (const HeatRow& row : a.heat) {
    const bool is_group = row.account == HeatAccount::groups && row.part != "not closed";
    const double before = row.share_percent.value;
    const double after = is_group ? group_percent(b, row.part) : nan;
    if (std::abs(after - before) >= largest) {
      largest = std::abs(after - before);
      moved = fmt::format(", heat off {} {:.0f} to {:.0f} %", row.part, before, after);
    }
  }
  return moved;
}

} // namespace

const Outcome& TiltJump::before() const {
  return flow_of(*from, way);
}

const Outcome& TiltJump::after() const {
  return flow_of(*to, way);
}

double TiltJump::steep_width_deg() const {
  return width_between(steep_from->tilt_deg, steep_to->tilt_deg);
}

std::vector<TiltCurve> curves_of(const TiltReport& report) {
  std::vector<TiltCurve> curves;
  for (const TiltPoint& point : report.points) {
    const bool goes_on = !curves.empty() && curves.back().front()->panel == point.panel &&
                         curves.back().front()->power_w == point.power_w;
    if (!goes_on) {
      curves.emplace_back();
    }
    curves.back().push_back(&point);
  }
  return curves;
}

bool has_two_flows(const TiltPoint& point) {
  return point.are_two &&
         !is_too_close(point.rising.base_rise_mean_k, point.falling.base_rise_mean_k);
}

std::vector<TiltJump> jumps_of(const TiltCurve& curve, bool is_closed) {
  const TiltCurve asked = asked_of(curve);
  const double median = median_change(asked, is_closed);
  std::vector<TiltJump> jumps;
  for (const Neighbours& pair : neighbours_of(asked, is_closed)) {
    const bool are_two = has_two_flows(*pair.from) || has_two_flows(*pair.to);
    for (const SweepWay way : {are_two ? SweepWay::rising : SweepWay::both, SweepWay::falling}) {
      const bool is_repeated = way == SweepWay::falling && !are_two;
      if (!is_repeated && is_jump(flow_of(*pair.from, way), flow_of(*pair.to, way), median)) {
        jumps.push_back({pair.from, pair.to, way, pair.from, pair.to});
        narrow(curve, jumps.back());
      }
    }
  }
  std::ranges::stable_sort(jumps, std::ranges::greater{}, [](const TiltJump& jump) {
    return change_between(jump.before(), jump.after());
  });
  jumps.resize(std::min(jumps.size(), most_jumps));
  return jumps;
}

std::vector<TwoFlows> two_flows_of(const TiltCurve& curve, bool is_closed) {
  std::vector<TwoFlows> ranges;
  bool goes_on = false;
  for (const TiltPoint* point : curve) {
    if (has_two_flows(*point) && goes_on) {
      ranges.back().to = point;
      ranges.back().widest = wider(ranges.back().widest, point);
    } else if (has_two_flows(*point)) {
      ranges.push_back({point, point, point});
    }
    goes_on = has_two_flows(*point);
  }
  if (is_closed && ranges.size() > 1 && has_two_flows(*curve.front()) &&
      has_two_flows(*curve.back())) {
    ranges.front().from = ranges.back().from;
    ranges.front().widest = wider(ranges.front().widest, ranges.back().widest);
    ranges.pop_back();
  }
  return ranges;
}

BestAndWorst best_and_worst(const TiltReport& report, const std::string& panel) {
  BestAndWorst found;
  for (const TiltLimit& limit : report.limits) {
    const double power = limit.lower().power_w.value;
    if (limit.panel != panel || !std::isfinite(power)) {
      continue;
    }
    if (found.best == nullptr || power > found.best->lower().power_w.value) {
      found.best = &limit;
    }
    if (found.worst == nullptr || power < found.worst->lower().power_w.value) {
      found.worst = &limit;
    }
  }
  return found;
}

std::vector<double> wanted_angles(const TiltReport& report, const std::string& panel) {
  const std::vector<double> angles = angles_of(report, panel);
  std::set<double> wanted;
  const BestAndWorst found = best_and_worst(report, panel);
  for (const TiltLimit* limit : {found.best, found.worst}) {
    if (limit != nullptr) {
      want_beside(limit->tilt_deg, angles, report.is_closed, wanted);
    }
  }
  for (const TiltCurve& curve : curves_of(report)) {
    if (curve.front()->panel != panel) {
      continue;
    }
    for (const TiltJump& jump : jumps_of(curve, report.is_closed)) {
      const double width = jump.steep_width_deg();
      if (width > fine_step_deg + slack_deg) {
        const double steps = std::max(1.0, std::floor(0.5 * width / fine_step_deg + slack_deg));
        const double angle = jump.steep_from->tilt_deg + steps * fine_step_deg;
        wanted.insert(angle < angles.front() + turn_deg ? angle : angle - turn_deg);
      }
    }
  }
  const auto is_known = [&](double angle) {
    return std::ranges::any_of(angles,
                               [&](double known) { return std::abs(known - angle) < slack_deg; });
  };
  std::vector<double> list;
  std::ranges::copy_if(wanted, std::back_inserter(list),
                       [&](double angle) { return !is_known(angle); });
  return list;
}

std::string explanation(const Outcome& before, const Outcome& after) {
  const auto through = [](const Outcome& outcome) {
    return number_or_dash(outcome.through_flow_g_per_s.value, 3) + " g/s";
  };
  std::string text;
  if (before.feeding != Feeding::none) {
    text = fmt::format(
        "fresh air through the cooler {}, air before the fins {}{}, breathed in "
        "again {}, ",
        from_to(through(before), through(after)), from_to(fed_by(before), fed_by(after)),
        share_of_air(before, after),
        from_to(show_percent(before.re_entering_share), show_percent(after.re_entering_share)));
  }
  text += "radiated " +
          from_to(show_percent(before.radiated_share), show_percent(after.radiated_share));
  return text + heat_that_moved(before, after);
}

} // namespace tiltfin
