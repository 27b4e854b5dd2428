#include "cases/run/tilt_sweep.hpp"

#include "cases/file/stored.hpp"
#include "cases/run/fan.hpp"
#include "cases/run/restart.hpp"
#include "post/reports/summary.hpp"
#include "post/text/json.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

constexpr double whole_turn_deg = 360.0;

fs::path with_ending(fs::path file, const char* ending) {
  file += ending;
  return file;
}

/// Null where there is none.
TiltStep* known_at(std::map<double, TiltStep>* steps, double tilt_deg) {
  if (steps == nullptr) {
    return nullptr;
  }
  const auto place = steps->find(tilt_deg);
  return place == steps->end() ? nullptr : &place->second;
}

/// As the outcome tells them, for a file of states does not.
void set_statuses(const Outcome& outcome, Solution& solution) {
  solution.report.status = outcome.status;
  for (std::size_t k = 0; k < solution.others.size(); ++k) {
    solution.others[k].report.status =
        k + 1 < outcome.fan.size() ? outcome.fan[k + 1].status : outcome.status;
  }
}

/// A chain of one condition, which it points to.
struct OneCondition {
  Orientation orientation;
  ChainCondition condition;
  Chain chain;

  OneCondition(const PanelState& panel, double tilt_deg, double power_w)
      : orientation(turned_to(tilt_deg)),
        condition{.id = condition_id(panel.name, orientation.name, power_w),
                  .power = power_w,
                  .chosen = true,
                  .outcome = {}},
        chain{.panel = &panel,
              .orientation = &orientation,
              .section = &panel.section_at_angles(),
              .conditions = {}} {}
};

/// Two flows that were solved with different upwinding of heat differ by that alone, too: the one
/// with more is solved once more from itself, which begins with the least; where it then needs no
/// more than the other, that is its result.
void with_equal_upwinding(const RunContext& run, const OneCondition& one, Solution& a,
                          Solution& b) {
  if (a.problem.heat_peclet == b.problem.heat_peclet || !is_solved(a.report.status) ||
      !is_solved(b.report.status) || !is_other_flow(a, b)) {
    return;
  }
  Solution& more = a.problem.heat_peclet < b.problem.heat_peclet ? a : b;
  const Solution& less = &more == &a ? b : a;
  Solution again = solve_condition_from(run, one.chain, one.condition, more);
  if (again.report.status == SolveStatus::stopped ||
      (is_solved(again.report.status) && again.problem.heat_peclet == less.problem.heat_peclet)) {
    more = std::move(again);
  }
}

} // namespace

Orientation turned_to(double tilt_deg) {
  const double turned = std::fmod(tilt_deg, whole_turn_deg);
  return tilted_orientation(turned < 0.0 ? turned + whole_turn_deg : turned + 0.0);
}

TiltSweep::TiltSweep(const RunContext& run, const PanelState& panel, double power_w,
                     const Tilts& tilts)
    : run_(run), panel_(panel), power_w_(power_w), tilts_(tilts) {}

std::optional<TiltStep> TiltSweep::kept(const fs::path& file) const {
  if (!run_.options.resume || file.empty() || !fs::exists(with_ending(file, ".json")) ||
      !fs::exists(with_ending(file, ".restart"))) {
    return std::nullopt;
  }
  try {
    const Json json = parse_json(read_stored_json(
        with_ending(file, ".json"), crc32_of_case(run_.the_case), "an angle of a sweep"));
    check_restart(with_ending(file, ".restart"), run_.the_case);
    TiltStep step;
    step.is_as_before = json.at("is_as_before").flag();
    step.outcome = outcome_from_json(json_text(json.at("outcome")));
    step.file = file;
    return step;
  } catch (const StoredInputError& error) {
    run_.remarks.add(fmt::format("{}: solved again", error.found));
    return std::nullopt;
  } catch (const std::runtime_error& error) {
    run_.remarks.add(
        fmt::format("{}: {}: solved again", with_ending(file, ".json").string(), error.what()));
    return std::nullopt;
  }
}

void TiltSweep::keep(const TiltStep& step) const {
  if (step.file.empty()) {
    return;
  }
  write_restart(with_ending(step.file, ".restart"), run_.the_case, *step.solution);
  Json json = Json::object();
  json.add("is_as_before", step.is_as_before);
  json.add("outcome", parse_json(outcome_to_json(step.outcome)));
  write_stored_json(with_ending(step.file, ".json"), json_text(json),
                    crc32_of_case(run_.the_case)); // last: marks it finished
}

const Solution& TiltSweep::solution_of(TiltStep& step, double tilt_deg) const {
  if (!step.solution) {
    const OneCondition one(panel_, tilt_deg, power_w_);
    const fs::path file = with_ending(step.file, ".restart");
    step.solution = read_finest(file, run_.the_case, *one.chain.section,
                                condition_of(run_.the_case, one.chain, power_w_));
    if (!step.solution) {
      throw InputError(fmt::format("{}: found a damaged file, allowed one that this program wrote; "
                                   "remove it and go on with --resume",
                                   file.string()));
    }
    set_statuses(step.outcome, *step.solution);
  }
  return *step.solution;
}

std::optional<TiltStep> TiltSweep::step(double tilt_deg, SweepWay way, int turn, TiltStep* from,
                                        double from_deg, const Against& against) {
  const OneCondition one(panel_, tilt_deg, power_w_);
  fs::path file;
  if (!run_.options.directory.empty()) {
    const std::string start =
        from == nullptr ? "from-rest"
                        : fmt::format("{}-from-{}{}", name(way), turned_to(from_deg).name.substr(5),
                                      turn > 1 ? "-again" : "");
    file = run_.options.directory / "tilts" / (one.condition.id + "_" + start);
  }
  if (std::optional<TiltStep> known = kept(file)) {
    run_.monitor.finished(one.condition.id, {});
    return known;
  }
  if (run_.options.stop != nullptr && *run_.options.stop) {
    return std::nullopt;
  }
  TiltStep reached;
  reached.file = file;
  if (from == nullptr) {
    reached.solution = solve_condition(run_, one.chain, one.condition, nullptr);
  } else {
    reached.solution =
        solve_condition_from(run_, one.chain, one.condition, solution_of(*from, from_deg));
  }
  Solution& solution = *reached.solution;
  std::optional<Solution> other;
  if (against.other_way != nullptr) {
    other = solution_of(*against.other_way, tilt_deg);
    with_equal_upwinding(run_, one, solution, *other);
  }
  if (solution.report.status == SolveStatus::stopped) {
    return std::nullopt;
  }
  reached.outcome = outcome_of(run_, one.chain, one.condition, {solution, {}});
  drop_coarse(solution); // the next angle starts from the finest mesh
  const bool is_flow = is_solved(solution.report.status);
  if (against.before != nullptr) {
    reached.is_as_before =
        !is_flow || !is_other_flow(solution, solution_of(*against.before, against.before_deg));
  }
  if (other && is_flow) {
    add_second_flow(*one.chain.section, solution, *other, run_.the_case.room_temperature,
                    reached.outcome);
  }
  keep(reached);
  run_.monitor.finished(one.condition.id, solution.report);
  return reached;
}

bool TiltSweep::go(SweepWay way, TiltStep& start, double start_deg,
                   const std::vector<double>& order, Steps& steps, Steps* other_way) {
  TiltStep* from = &start;
  double from_deg = start_deg;
  for (int turn = 1; turn <= (tilts_.is_closed ? 2 : 1); ++turn) {
    if (turn > 1) {
      run_.monitor.expect(static_cast<int>(order.size()));
    }
    for (const double angle : order) {
      const bool closes = angle == start_deg;
      TiltStep* before = known_at(&steps, angle); // of the turn before
      if (before == nullptr && closes) {
        before = &start;
      }
      const Against against{before, angle, known_at(other_way, angle)};
      std::optional<TiltStep> reached = step(angle, way, turn, from, from_deg, against);
      if (!reached) {
        return false;
      }
      const bool is_known = reached->is_as_before && (turn > 1 || closes);
      from = &steps.insert_or_assign(angle, std::move(*reached)).first->second;
      from_deg = angle;
      if (is_known) {
        return true;
      }
    }
  }
  return true;
}

bool TiltSweep::turn() {
  const std::vector<double>& angles = tilts_.angles_deg;
  const double first = angles.front();
  seed_ = step(first, SweepWay::rising, 1, nullptr, first, {});
  if (!seed_) {
    return false;
  }
  std::vector<double> up(angles.begin() + 1, angles.end());
  std::vector<double> down(angles.rbegin(), angles.rend());
  if (tilts_.is_closed) {
    up.push_back(first);
  } else {
    rising_[first] = *seed_;
    down.erase(down.begin());
  }
  if (!go(SweepWay::rising, *seed_, first, up, rising_, nullptr)) {
    return false;
  }
  const double end = tilts_.is_closed ? first : angles.back();
  if (!go(SweepWay::falling, rising_.at(end), end, down, falling_, &rising_)) {
    return false;
  }
  seed_.reset();
  if (!run_.options.directory.empty()) { // where it is needed again, it is read
    for (Steps* steps : {&rising_, &falling_}) {
      for (auto& [angle, step] : *steps) {
        step.solution.reset();
      }
    }
  }
  return true;
}

bool TiltSweep::add(double tilt_deg) {
  run_.monitor.expect(2);
  auto above = rising_.upper_bound(tilt_deg);
  auto below = above == rising_.begin() ? std::prev(rising_.end()) : std::prev(above);
  above = above == rising_.end() ? rising_.begin() : above;
  std::optional<TiltStep> up =
      step(tilt_deg, SweepWay::rising, 1, &below->second, below->first, {});
  if (!up) {
    return false;
  }
  const auto falling = falling_.find(above->first);
  TiltStep& start = falling == falling_.end() ? above->second : falling->second;
  std::optional<TiltStep> down =
      step(tilt_deg, SweepWay::falling, 1, &start, above->first, {.other_way = &*up});
  if (!down) {
    return false;
  }
  rising_.emplace(tilt_deg, std::move(*up));
  falling_.emplace(tilt_deg, std::move(*down));
  return true;
}

std::vector<TiltPoint> TiltSweep::points() const {
  std::vector<TiltPoint> points;
  for (const auto& [angle, rising] : rising_) {
    const auto place = falling_.find(angle);
    const TiltStep& falling = place == falling_.end() ? rising : place->second;
    TiltPoint point{.panel = panel_.name,
                    .tilt_deg = angle,
                    .power_w = power_w_,
                    .is_added =
                        std::ranges::find(tilts_.angles_deg, angle) == tilts_.angles_deg.end(),
                    .rising = rising.outcome,
                    .falling = falling.outcome};
    point.are_two = is_solved(rising.outcome.status) && is_solved(falling.outcome.status) &&
                    falling.outcome.second.search == SecondSearch::found;
    point.rising.second = {};
    points.push_back(point);
  }
  return points;
}

} // namespace tiltfin
