// Solves sections drawn at random and says what became of them:
//   cmake --build build/release --target random_bench
// Fails when one crashes or hangs, when a steady row does not balance, or when fewer than 98 % end
// on a steady state or a mean.
#include "cases/run/parallel.hpp"
#include "mesh/index.hpp"
#include "post/numbers/balances.hpp"
#include "post/numbers/error_estimate.hpp"
#include "post/numbers/outcome.hpp"
#include "solver/bounds.hpp"
#include "solver/steady.hpp"
#include "tests/bench/random_sections.hpp"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <condition_variable>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <mutex>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

namespace {

using namespace tiltfin;
using namespace tiltfin::tests;

constexpr double room_temperature = 298.15;      // K, as in OutcomeContext
constexpr double largest_balance_error = 1e-6;   // promised of steady rows
constexpr double smallest_solved_share = 0.98;   // of the rows inside the air's tables
constexpr double largest_expansion_number = 0.1; // accepted for the Boussinesq approximation
constexpr double finer_factor = 0.5;             // of the cells, each way
constexpr double finer_cost = 5.0;               // four times the cells, cost as cells^1.14
constexpr int finer_every = 10;

struct Settings {
  int count = 300;
  int first = 1;
  int seed = 1;
  int jobs = 0;         ///< threads, 0: all cores
  double limit = 300.0; ///< wall time of a section [s]
  bool examine_stability = true;
  bool finer = false;
};

enum class End { converged, mean, not_converged, hung, crashed, beyond_tables };

struct Row {
  End end = End::crashed;
  std::string complaint; ///< of an exception
  Outcome outcome;       ///< empty after an exception
  Estimate rise;         ///< mean of the hottest solid, or of a bundle that has none [K]
  double seconds = 0.0;

  [[nodiscard]] bool is_solved() const { return end == End::converged || end == End::mean; }
};

/// Raises a flag after `limit` seconds, and ends the program when nobody has heeded it after as
/// many again: then it is no step that takes long.
class Alarm {
public:
  Alarm(int number, double limit)
      : thread_([this, number, limit](const std::stop_token& done) {
          wait(done, limit);
          raised_ = !done.stop_requested();
          wait(done, limit);
          if (!done.stop_requested()) {
            std::printf("section %d did not even stop %.0f s after it was told to\n", number,
                        limit);
            std::fflush(stdout);
            std::_Exit(1);
          }
        }) {}

  [[nodiscard]] const std::atomic<bool>* flag() const { return &raised_; }

private:
  void wait(const std::stop_token& done, double seconds) {
    std::unique_lock lock(mutex_);
    never_.wait_for(lock, done, std::chrono::duration<double>(seconds), [] { return false; });
  }

  std::atomic<bool> raised_ = false;
  std::mutex mutex_;
  std::condition_variable_any never_;
  std::jthread thread_; // last: it uses the others
};

double mean_fin_temperature(const Problem& problem, const State& state) {
  double sum = 0.0;
  double metal = 0.0;
  for (std::size_t k = 0; k < problem.media.size(); ++k) {
    const double own = (1.0 - problem.media[k].porosity) * problem.media[k].volume;
    sum += own * state.fin_temperature[k];
    metal += own;
  }
  return sum / metal;
}

/// Of a solid; of the fins of all media when `solid` is -1.
double metal_temperature(const Problem& problem, const State& state, int solid) {
  return solid < 0 ? mean_fin_temperature(problem, state)
                   : solid_temperature(problem, state, solid).mean;
}

int hottest_solid(const Section& section, const Solution& solution) {
  int hottest = -1;
  double highest = 0.0;
  for (int k = 0; k < static_cast<int>(section.solids.size()); ++k) {
    const double own = solid_temperature(solution.problem, solution.state, k).mean;
    if (own > highest) {
      highest = own;
      hottest = k;
    }
  }
  return hottest;
}

Estimate rise_of(const Section& section, const Solution& solution) {
  const int solid = hottest_solid(section, solution);
  const double fine = metal_temperature(solution.problem, solution.state, solid);
  Estimate rise{fine - room_temperature};
  if (solution.coarse_problem && solution.coarse_state) {
    const double coarse =
        metal_temperature(*solution.coarse_problem, *solution.coarse_state, solid);
    rise.error = discretisation_error(rise.value, coarse - room_temperature, mesh_pair(solution));
  }
  return rise;
}

End end_of(SolveStatus status) {
  switch (status) {
  case SolveStatus::converged:
    return End::converged;
  case SolveStatus::time_average:
    return End::mean;
  case SolveStatus::not_converged:
    return End::not_converged;
  case SolveStatus::stopped: // by nobody but the alarm
    break;
  }
  return End::hung;
}

const char* name(End end) {
  switch (end) {
  case End::converged:
    return "converged";
  case End::mean:
    return "mean";
  case End::not_converged:
    return "not converged";
  case End::hung:
    return "HUNG";
  case End::crashed:
    return "CRASHED";
  case End::beyond_tables:
    break;
  }
  return "beyond tables";
}

Row solve(const RandomSection& random, const Resolution& resolution, const Settings& settings,
          double limit) {
  Row row;
  const auto begin = std::chrono::steady_clock::now();
  try {
    const Alarm alarm(random.number, limit);
    NestedOptions options;
    options.examine_stability = settings.examine_stability;
    options.resolution = resolution;
    options.steady.stop = alarm.flag();
    const Solution solution =
        solve_nested(random.section, random.condition, AirRule{{}, room_temperature}, options);
    row.end = end_of(solution.report.status);
    OutcomeContext context;
    context.power_w = random.condition.power;
    row.outcome = make_outcome(random.section, solution, context);
    if (!settings.examine_stability && row.end == End::converged) {
      row.outcome.stability.state = Stability::skipped;
    }
    row.rise = rise_of(random.section, solution);
  } catch (const AirRangeError& error) {
    row.end = End::beyond_tables;
    row.complaint = error.what();
  } catch (const std::exception& error) {
    row.end = End::crashed;
    row.complaint = error.what();
  }
  row.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  return row;
}

void print_head() {
  std::printf("%4s %-8s %4s %6s %7s %6s %6s %-13s %-12s %8s %7s %6s %8s %7s\n", "no", "kind",
              "fins", "gap mm", "W/m", "tilt", "cells", "end", "stability", "rise K", "+- K",
              "below", "balance", "s");
}

void print(const RandomSection& random, const Row& row, const std::string& remark) {
  const Outcome& outcome = row.outcome;
  std::printf("%4d %-8s %4d %6.2f %7.2f %6.1f %6d %-13s %-12s %8.3f %7.3f %6.3f %8.1e %7.1f",
              random.number, tests::name(random.kind), random.fins, 1e3 * random.gap,
              random.condition.power, random.tilt, outcome.cells, name(row.end),
              name(outcome.stability.state), row.rise.value, row.rise.error, outcome.undershoot_k,
              outcome.balance_error, row.seconds);
  std::printf("%s%s%s\n", row.complaint.empty() ? "" : "  ", row.complaint.c_str(), remark.c_str());
}

/// What a row and the same on a finer mesh have in common; none where either is not solved.
struct Repeat {
  bool same_verdict = false; ///< status and stability
  bool inside = false;       ///< the finer rise, of the row's error bar
};

std::optional<Repeat> compare(const Row& row, const Row& finer) {
  if (!row.is_solved() || !finer.is_solved()) {
    return std::nullopt;
  }
  return Repeat{row.end == finer.end &&
                    row.outcome.stability.state == finer.outcome.stability.state,
                std::abs(finer.rise.value - row.rise.value) <= row.rise.bar()};
}

std::string remark_of(const std::optional<Repeat>& repeat) {
  if (!repeat) {
    return "  finer: not to be compared";
  }
  return std::string("  finer: ") + (repeat->same_verdict ? "same verdict" : "OTHER VERDICT") +
         (repeat->inside ? ", inside the bar" : ", OUTSIDE THE BAR");
}

int count_of(const std::vector<Row>& rows, End end) {
  return static_cast<int>(
      std::count_if(rows.begin(), rows.end(), [end](const Row& row) { return row.end == end; }));
}

void print_repeats(const std::vector<std::optional<Repeat>>& repeats, int n_asked) {
  int n = 0;
  int same = 0;
  int inside = 0;
  for (const std::optional<Repeat>& repeat : repeats) {
    n += repeat ? 1 : 0;
    same += repeat && repeat->same_verdict ? 1 : 0;
    inside += repeat && repeat->inside ? 1 : 0;
  }
  std::printf(
      "finer: %d asked again, %d solved on both meshes, %d with the same verdict, %d inside "
      "the error bar\n",
      n_asked, n, same, inside);
}

/// Prints what all rows come to; false when that is not good enough.
bool summarise(const std::vector<Row>& rows) {
  const int hung = count_of(rows, End::hung);
  const int crashed = count_of(rows, End::crashed);
  const int beyond = count_of(rows, End::beyond_tables);
  int solved = 0;
  int expanded = 0;
  int expanded_and_solved = 0;
  int without_bar = 0;
  int cold = 0;
  int unbalanced = 0;
  double worst_balance = 0.0;
  double coldest = 0.0;
  double coldest_share = 0.0;
  for (const Row& row : rows) {
    const bool expands = row.outcome.expansion_number > largest_expansion_number;
    expanded += expands ? 1 : 0;
    if (!row.is_solved()) {
      continue;
    }
    ++solved;
    expanded_and_solved += expands ? 1 : 0;
    without_bar += std::isfinite(row.rise.error) ? 0 : 1;
    const double below = row.outcome.undershoot_k;
    cold += below > allowed_undershoot(row.rise.value) ? 1 : 0;
    coldest = std::max(coldest, below);
    coldest_share = std::max(coldest_share, below / row.rise.value);
    if (row.end == End::converged) {
      worst_balance = std::max(worst_balance, row.outcome.balance_error);
      unbalanced += row.outcome.balance_error <= largest_balance_error ? 0 : 1; // NaN too
    }
  }
  const int asked = static_cast<int>(rows.size()) - beyond;
  const double share = asked > 0 ? static_cast<double>(solved) / asked : 1.0;
  std::printf("\n%d sections: %d converged, %d means, %d not converged, %d hung, %d crashed\n",
              static_cast<int>(rows.size()), count_of(rows, End::converged),
              count_of(rows, End::mean), count_of(rows, End::not_converged), hung, crashed);
  std::printf("outside the model: %d beyond the air's tables, %d with an expansion number above "
              "%.1f (%d of them solved)\n",
              beyond, expanded, largest_expansion_number, expanded_and_solved);
  std::printf("solved: %.1f %% of those inside the tables, %.0f %% wanted\n", 100.0 * share,
              100.0 * smallest_solved_share);
  std::printf("heat balance of steady rows: worst %.1e, %d above %.0e\n", worst_balance, unbalanced,
              largest_balance_error);
  std::printf(
      "undershoot: largest %.3f K, largest share of a rise %.2f %%, %d above both 0.1 K and "
      "1 %%\n",
      coldest, 100.0 * coldest_share, cold);
  std::printf("no error bar: %d of those solved\n", without_bar);
  return hung == 0 && crashed == 0 && unbalanced == 0 && share >= smallest_solved_share;
}

Settings read_settings(int argc, char** argv) {
  Settings settings;
  for (int k = 1; k < argc; ++k) {
    const std::string option = argv[k];
    const auto value = [&] {
      if (k + 1 >= argc) {
        throw std::invalid_argument(option + " needs a value");
      }
      return std::stoi(argv[++k]);
    };
    if (option == "--count") {
      settings.count = std::max(0, value());
    } else if (option == "--first") {
      settings.first = value();
    } else if (option == "--seed") {
      settings.seed = value();
    } else if (option == "--jobs") {
      settings.jobs = value();
    } else if (option == "--limit") {
      settings.limit = value();
    } else if (option == "--skip-stability") {
      settings.examine_stability = false;
    } else if (option == "--finer") {
      settings.finer = true;
    } else {
      throw std::invalid_argument("unknown option " + option);
    }
  }
  return settings;
}

bool run(const Settings& settings) {
  std::printf(
      "seed %d, sections %d to %d; cells: of the mesh reported; rise: of the hottest solid; "
      "below: undershoot in K\n",
      settings.seed, settings.first, settings.first + settings.count - 1);
  print_head();
  std::vector<Row> rows(index(settings.count));
  std::vector<std::optional<Repeat>> repeats(index(settings.count));
  std::atomic<int> n_asked_again = 0;
  std::mutex printing;
  const auto solve_one = [&](int k, const std::atomic<bool>& /*failed*/) {
    const RandomSection random =
        random_section(static_cast<std::uint32_t>(settings.seed), settings.first + k);
    Row& row = rows[index(k)];
    row = solve(random, random.resolution, settings, settings.limit);
    {
      const std::scoped_lock lock(printing);
      print(random, row, "");
    }
    if (settings.finer && random.number % finer_every == 0) {
      ++n_asked_again;
      const Row finer =
          solve(random, with_cells_scaled(random.section, random.resolution, finer_factor),
                settings, finer_cost * settings.limit);
      repeats[index(k)] = compare(row, finer);
      const std::scoped_lock lock(printing);
      print(random, finer, remark_of(repeats[index(k)]));
    }
  };
  for_each_in_parallel(settings.count, threads_for(settings.jobs, settings.count), solve_one);
  const bool good = summarise(rows);
  if (settings.finer) {
    print_repeats(repeats, n_asked_again);
  }
  return good;
}

} // namespace

/// --count, --first, --seed, --jobs, --limit with a whole number; --finer, --skip-stability.
int main(int argc, char** argv) {
  std::setvbuf(stdout, nullptr, _IOLBF, 0);
  try {
    return run(read_settings(argc, argv)) ? 0 : 1;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "random bench: %s\n", error.what());
    return 2;
  }
}
