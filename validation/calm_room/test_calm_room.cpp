// What the calm room does to the rise of the base: none, half, default, double.
#include <algorithm>
#include <optional>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

constexpr const char* readme = "validation/calm_room/README.md";
constexpr double coarsening = 1.5;    // cells this much wider than those of the cases
constexpr double wanted = 0.01;       // half and double: the largest relative change of the rise
constexpr double is_the_same = 0.003; // of a change, between two runs on different machines

struct Setup {
  std::string file;
  std::string panel;
};

const std::vector<Setup> setups{{"observatory-stack", "on"},
                                {"observatory-stack", "off"},
                                {"edge-on-block", "open-black-anodised"},
                                {"face-on-block", ""}};

struct SolvedRoom {
  const Case& the_case;
  const Section& section;
  Condition condition;

  [[nodiscard]] Solution solve(double factor, const Solution* warm) const {
    NestedOptions options;
    options.examine_stability = false; // one and the same flow in rooms of different calm
    options.resolution = with_cells_scaled(section, the_case.resolution, coarsening);
    options.calm = the_case.calm;
    options.calm.factor = factor;
    return solve_nested(section, condition, {the_case.air, the_case.room_temperature}, options,
                        warm);
  }

  [[nodiscard]] double rise(const Problem& problem, const State& state) const {
    return solid_temperature(problem, state, section.base).mean - the_case.room_temperature;
  }
};

struct Change {
  double relative = 0.0; ///< of the rise against that with the default calm room
  bool mean = false;     ///< a time average, compared on the mesh of half the cells
  double allowed = 0.0;  ///< error bar of the rise and fluctuation, relative
};

/// Nothing where `solution` is neither steady nor a mean that has settled.
std::optional<Change> change(const SolvedRoom& room, const Solution& solution,
                             const Solution& base) {
  const double rise = room.rise(base.problem, base.state);
  const double coarse = room.rise(*base.coarse_problem, *base.coarse_state);
  const bool mean = solution.report.status == SolveStatus::time_average;
  if (!mean && solution.report.status != SolveStatus::converged) {
    return std::nullopt;
  }
  const bool on_coarse = solution.problem.mesh.n_cells() < base.problem.mesh.n_cells();
  const double against = on_coarse ? coarse : rise;
  return Change{
      room.rise(solution.problem, solution.state) / against - 1.0, mean,
      (discretisation_error(rise, coarse, mesh_pair(solution)) + solution.report.fluctuation) /
          rise};
}

std::string percent(const std::optional<Change>& change) {
  return !change ? "-" : print("%+.2f %%", 100.0 * change->relative) + (change->mean ? " ~" : "");
}

std::vector<std::string> row_of(const std::string& name, const SolvedRoom& room) {
  const Solution base = room.solve(room.the_case.calm.factor, nullptr);
  if (base.report.status != SolveStatus::converged || !base.coarse_state) {
    return {name, "0", "-", "-", "-", "-", "no steady state on both meshes"};
  }
  const double factor = room.the_case.calm.factor;
  const auto half = change(room, room.solve(0.5 * factor, &base), base);
  const auto twice = change(room, room.solve(2.0 * factor, &base), base);
  const auto none = change(room, room.solve(1.0, &base), base);
  const auto small = [](const std::optional<Change>& c) {
    return c && std::abs(c->relative) <= wanted;
  };
  const bool within = none && std::abs(none->relative) <= none->allowed;
  return {name,
          print("%.2f", room.rise(base.problem, base.state)),
          percent(none),
          none ? print("%.2f %%", 100.0 * none->allowed) : "-",
          percent(half),
          percent(twice),
          std::string(within ? "" : "none (miss)") +
              (small(half) && small(twice) ? "" : " 1 % (miss)")};
}

void check_row_again(const std::vector<std::string>& fresh, const std::vector<std::string>& shown) {
  CAPTURE(fresh, shown);
  REQUIRE(fresh.size() == shown.size());
  CHECK(fresh[0] == shown[0]);
  CHECK(fresh[6] == shown[6]);
  CHECK_THAT(std::stod(fresh[1]), Catch::Matchers::WithinRel(std::stod(shown[1]), is_the_same));
  for (const std::size_t k : {2, 4, 5}) {
    REQUIRE((fresh[k] == "-") == (shown[k] == "-"));
    if (fresh[k] != "-") {
      CHECK_THAT(std::stod(fresh[k]),
                 Catch::Matchers::WithinAbs(std::stod(shown[k]), 100.0 * is_the_same));
    }
  }
}

} // namespace

TEST_CASE("Calm room: what it does to the rise is what the table says", "[validation]") {
  std::vector<std::vector<std::string>> fresh;
  for (const Setup& setup : setups) {
    const Case the_case = read_case("cases/" + setup.file + ".toml");
    for (const PanelState& panel : the_case.panels) {
      if (!setup.panel.empty() && panel.name != setup.panel) {
        continue;
      }
      for (std::size_t k = 0; k < the_case.orientations.size(); ++k) {
        const Orientation& orientation = the_case.orientations[k];
        const double power = the_case.powers[the_case.powers.size() / 2];
        const SolvedRoom room{the_case,
                              panel.section_in(k),
                              {the_case.gravity * orientation.down[0],
                               the_case.gravity * orientation.down[1], power}};
        const std::string name =
            setup.file + " " + panel.name + ", " + orientation.name + ", " + print("%g W", power);
        fresh.push_back(row_of(name, room));
        print_row(fresh.back());
        std::fflush(stdout);
      }
    }
  }
  const std::vector<std::vector<std::string>> shown = table_rows(readme, "");
  REQUIRE(shown.size() == fresh.size());
  for (std::size_t k = 0; k < fresh.size(); ++k) {
    check_row_again(fresh[k], shown[k]);
  }
}
