#include "cases/run/fan.hpp"

#include "mesh/index.hpp"
#include "post/numbers/balances.hpp"
#include "post/numbers/fan_outcome.hpp"
#include "post/numbers/fan_rise.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>
#include <utility>

namespace tiltfin {
namespace {

constexpr double usual_exponent = 0.75; // of a rise over power, laminar
constexpr double cosine_exponent = 0.25;
constexpr double near_enough = 0.01; // of rises: see solve_fan
constexpr int most_fan_rounds = 6;
constexpr int most_rounds_of_means = 2;
constexpr double largest_factor = 3.0; // that a power changes by in one round

double rise_of_part(const Section& section, const Solution& solution, double room_temperature) {
  return solid_temperature(solution.problem, solution.state, section.base).mean - room_temperature;
}

/// The less there is to say for a status, the later it stands.
int badness(SolveStatus status) {
  switch (status) {
  case SolveStatus::converged:
    return 0;
  case SolveStatus::time_average:
    return 1;
  case SolveStatus::not_converged:
    return 2;
  case SolveStatus::stopped:
    break;
  }
  return 3;
}

/// Enters another section's report.
void take_worse(const SolveReport& other, SolveReport& all) {
  all.steps += other.steps;
  all.factorisations += other.factorisations;
  all.seconds += other.seconds;
  all.status = badness(other.status) > badness(all.status) ? other.status : all.status;
  all.residual = std::max(all.residual, other.residual);
  all.fluctuation = std::max(all.fluctuation, other.fluctuation);
  all.sampling = std::max(all.sampling, other.sampling);
  all.stored = std::max(all.stored, other.stored);
  all.averaged = std::max(all.averaged, other.averaged);
  all.left_start = all.left_start || other.left_start;
  all.stability_known = all.stability_known && other.stability_known;
  const auto verdict = [](const SolveReport& report) {
    return std::tuple{report.unstable, report.sways, report.growth};
  };
  if (verdict(other) > verdict(all)) {
    all.growth = other.growth;
    all.frequency = other.frequency;
    all.unstable = other.unstable;
    all.sways = other.sways;
  }
  all.searched = std::min(all.searched, other.searched);
}

/// Sections with their own reports as one.
Solution together(std::vector<Solution> sections) {
  Solution whole = std::move(sections.front());
  whole.own_report = whole.report;
  for (std::size_t k = 1; k < sections.size(); ++k) {
    sections[k].own_report = sections[k].report;
    take_worse(sections[k].report, whole.report);
    whole.others.push_back(std::move(sections[k]));
  }
  return whole;
}

double power_of(const std::vector<FanPart>& parts) {
  double power = 0.0;
  for (const FanPart& part : parts) {
    power += part.weight * part.power;
  }
  return power;
}

/// Powers as a solution of the same fan has them, else by the cosine law of a plate; scaled to add
/// up to `power`.
void guess_powers(std::vector<FanPart>& parts, double power, const Solution* from) {
  const bool is_same_fan = from != nullptr && from->others.size() + 1 == parts.size();
  for (FanPart& part : parts) {
    part.power = is_same_fan ? counterpart(*from, part).part.power
                             : in_part({.gravity_y = 1.0}, part).gravity_y;
    part.power = is_same_fan ? part.power : std::pow(part.power, cosine_exponent);
  }
  const double sum = power_of(parts);
  for (FanPart& part : parts) {
    part.power = sum > 0.0 ? part.power * power / sum : power;
  }
}

/// One section of the fan on the way.
struct Member {
  std::optional<Solution> solution;
  double rise = 0.0;       ///< [K]
  double slope = 0.0;      ///< of the rise over power [K/W]; 0: not known yet
  double last_power = 0.0; ///< of the solve before
  double last_rise = 0.0;
};

/// Slopes from the last two solves where their powers differ enough to tell.
void set_slope(const FanPart& part, bool has_last, Member& member) {
  constexpr double tells = 1e-3;
  const double usual = usual_exponent * member.rise / part.power;
  const double apart = part.power - member.last_power;
  if (has_last && std::abs(apart) > tells * part.power) {
    const double found = (member.rise - member.last_rise) / apart;
    member.slope = std::clamp(found, 0.02 * usual, 2.0 * usual);
  } else if (!has_last) {
    member.slope = usual;
  }
  member.last_power = part.power;
  member.last_rise = member.rise;
}

/// Powers with which straight lines through the solves give equal rises and the sum is `power`.
void correct_powers(std::vector<FanPart>& parts, double power, const std::vector<Member>& members) {
  double constant = 0.0;
  double conductance = 0.0;
  for (std::size_t k = 0; k < parts.size(); ++k) {
    constant += parts[k].weight * (parts[k].power - members[k].rise / members[k].slope);
    conductance += parts[k].weight / members[k].slope;
  }
  const double rise = (power - constant) / conductance;
  for (std::size_t k = 0; k < parts.size(); ++k) {
    const double wanted = parts[k].power + (rise - members[k].rise) / members[k].slope;
    parts[k].power =
        std::clamp(wanted, parts[k].power / largest_factor, parts[k].power * largest_factor);
  }
  const double sum = power_of(parts);
  for (FanPart& part : parts) {
    part.power *= power / sum;
  }
}

class FanSolve {
public:
  FanSolve(const Section& section, std::vector<FanPart> parts, double power,
           double room_temperature, const SolvePart& solve, const Solution* from)
      : section_(section),
        parts_(std::move(parts)),
        power_(power),
        room_(room_temperature),
        solve_(solve),
        from_(from),
        members_(parts_.size()) {}

  Solution solve() {
    guess_powers(parts_, power_, from_);
    for (int round = 1; solve_all() && !is_done(round); ++round) {
      for (std::size_t k = 0; k < parts_.size(); ++k) {
        set_slope(parts_[k], round > 1, members_[k]);
      }
      correct_powers(parts_, power_, members_);
    }
    return whole();
  }

private:
  /// What was spent on solves that others took the place of.
  void spend(const SolveReport& report) {
    spent_.steps += report.steps;
    spent_.factorisations += report.factorisations;
    spent_.seconds += report.seconds;
  }

  /// From its last solve, else from its counterpart in what is at hand, else from its neighbour.
  Solution solve_from_best(std::size_t k) {
    const Member& member = members_[k];
    if (member.solution) {
      return solve_(parts_[k], &*member.solution, true);
    }
    if (from_ != nullptr) {
      return solve_(parts_[k], &counterpart(*from_, parts_[k]), false);
    }
    return k == 0 ? solve_(parts_[k], nullptr, false)
                  : solve_(parts_[k], &*members_[k - 1].solution, true);
  }

  /// All sections at the present powers; false when one has no flow to go on with.
  bool solve_all() {
    for (std::size_t k = 0; k < parts_.size(); ++k) {
      Member& member = members_[k];
      Solution solution = solve_from_best(k);
      if (solution.report.status == SolveStatus::not_converged &&
          (member.solution || from_ == nullptr) && (k > 0 || member.solution)) {
        spend(solution.report);
        solution = solve_(parts_[k], nullptr, false);
      }
      if (member.solution) {
        spend(member.solution->report);
      }
      solution.part = parts_[k];
      member.solution = std::move(solution);
      const SolveStatus status = member.solution->report.status;
      if (status == SolveStatus::stopped || status == SolveStatus::not_converged) {
        return false;
      }
      member.rise = rise_of_part(section_, *member.solution, room_);
    }
    return true;
  }

  [[nodiscard]] bool is_done(int round) const {
    std::vector<double> rises;
    bool is_steady = true;
    bool has_rises = true;
    for (const Member& member : members_) {
      rises.push_back(member.rise);
      is_steady = is_steady && member.solution->report.status == SolveStatus::converged;
      has_rises = has_rises && member.rise > 0.0;
    }
    return !(power_ > 0.0) || !has_rises || rises_apart(parts_, rises) <= near_enough ||
           round >= (is_steady ? most_fan_rounds : most_rounds_of_means);
  }

  /// All sections as they are; one that was not reached has the state of the one before.
  Solution whole() {
    std::vector<Solution> sections;
    for (std::size_t k = 0; k < members_.size(); ++k) {
      if (members_[k].solution) {
        sections.push_back(std::move(*members_[k].solution));
      } else {
        Solution unsolved = sections.back();
        unsolved.report = {.status = unsolved.report.status};
        unsolved.part = parts_[k];
        sections.push_back(std::move(unsolved));
      }
    }
    Solution all = together(std::move(sections));
    all.report.steps += spent_.steps;
    all.report.factorisations += spent_.factorisations;
    all.report.seconds += spent_.seconds;
    return all;
  }

  const Section& section_;
  std::vector<FanPart> parts_;
  double power_;
  double room_;
  const SolvePart& solve_;
  const Solution* from_;
  std::vector<Member> members_;
  SolveReport spent_;
};

} // namespace

Solution solve_fan(const Section& section, std::vector<FanPart> parts, double power,
                   double room_temperature, const SolvePart& solve, const Solution* from) {
  return FanSolve(section, std::move(parts), power, room_temperature, solve, from).solve();
}

const Solution& counterpart(const Solution& fan, const FanPart& part) {
  const auto same = std::ranges::find_if(
      fan.others, [&](const Solution& other) { return other.part.angle_deg == part.angle_deg; });
  return same == fan.others.end() ? fan : *same;
}

Solution for_each_part(const Solution& solution,
                       const std::function<Solution(const Solution&)>& change) {
  if (solution.others.empty()) {
    return change(solution);
  }
  std::vector<Solution> sections;
  const auto add = [&](const Solution& one) {
    Solution changed = change(one);
    changed.part = one.part;
    sections.push_back(std::move(changed));
    return sections.back().report.status != SolveStatus::stopped;
  };
  bool goes_on = add(section_alone(solution));
  for (std::size_t k = 0; k < solution.others.size() && goes_on; ++k) {
    goes_on = add(solution.others[k]);
  }
  return together(std::move(sections));
}

void drop_coarse(Solution& solution) {
  solution.coarse_problem.reset();
  solution.coarse_state.reset();
  for (Solution& other : solution.others) {
    drop_coarse(other);
  }
}

} // namespace tiltfin
