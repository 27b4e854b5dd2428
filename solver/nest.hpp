#pragma once
// The two meshes of a condition, the finest and one of half its cells each way (or of two thirds,
// where half the cells have another flow), and what is done on one of them at a time: a steady
// state, a mean over true time, the modes of a steady state.

#include "mesh/index.hpp"
#include "solver/stability.hpp"
#include "solver/steady.hpp"

#include <array>
#include <memory>
#include <vector>

namespace tiltfin {

enum class Reached { nothing, steady, mean };

/// One mesh of the nest with what was reached on it.
struct Level {
  TensorMesh mesh;
  Problem problem;
  double film = 0.0; ///< at which its air's properties are taken [K]
  State state;
  Reached reached = Reached::nothing; ///< what `state` is
};

/// The last march in true time.
struct Mean {
  int level = 1; ///< whose state it is
  State state;
  State last;               ///< in which the march ended
  double fluctuation = 0.0; ///< of the hottest temperature, standard deviation [K]
  double share = 0.0;       ///< the same over the range of temperatures [-]
  double sampling = 0.0;    ///< how uncertain the mean is from so short a march [K]
  double stored = 0.0;      ///< heat stored in its last window over heat released [-]
  double averaged = 0.0;    ///< time that the mean was taken over [s]
  bool settled = false;
};

struct Nest {
  const Section& section;
  const Condition& condition;
  const AirRule& air;
  const NestedOptions& options;
  Resolution resolution;         ///< of the finest level; finer than asked for where that judges
  double coarse_ratio = 2.0;     ///< widths of the cells of level 1 over those of the finest
  double film = 0.0;             ///< at which air's properties are taken [K]
  double heat_peclet = 20.0;     ///< see Problem: halved where air would come out too cold
  std::array<Level, 2> levels{}; ///< 0: the finest, 1: its coarse partner
  SolveReport report{};          ///< of what was last reached, factorisations of all
  Mean mean{};

  [[nodiscard]] Level& level(int number) { return levels[index(number)]; }
  [[nodiscard]] bool converged() const { return report.status == SolveStatus::converged; }
  [[nodiscard]] bool stopped() const { return report.status == SolveStatus::stopped; }
};

[[nodiscard]] Nest make_nest(const Section& section, const Condition& condition, const AirRule& air,
                             const NestedOptions& options);

/// Mesh and problem of a level. `zones`: those of a neighbour on the same mesh, if there is one.
void make_level(Nest& nest, int number, std::shared_ptr<const RadiantZones> zones = nullptr);

/// The problem of a level with air at the present film temperature, and the present upwinding.
void set_problem(Nest& nest, Level& level);

/// The finest level with the state of level 1, interpolated.
void refine(Nest& nest);

/// A level to its steady state, with air's properties at its own film temperature; `cold`: in
/// pseudo-time from a small step, else by Newton's method as soon as it contracts. In at most
/// `max_steps`, by default those of the options.
void converge(Nest& nest, int number, bool cold, int max_steps);
void converge(Nest& nest, int number, bool cold);

/// Marches a level in true time; `nest.mean` is what came of it. True when the flow calmed down
/// there to a steady state after all, which is then the level's.
bool average(Nest& nest, int number);

/// True when the air of two levels differs by no more than that of means may.
[[nodiscard]] bool have_same_air(const Level& a, const Level& b);

/// True when the last march fluctuated by less than anyone would measure.
[[nodiscard]] bool is_calm(const Nest& nest);

/// Makes the last march's mean the state of its level, and what the report tells of it.
void take_mean(Nest& nest);

/// Modes of a level's steady state; the report takes over what they say. Where there is a calm
/// room, those whose disturbances grow with the room's air damped, with the growth that they have
/// when it is not: what the machine feels. Empty when stability is not to be examined, nothing is
/// known, or the caller asked to stop.
std::vector<Mode> examine(Nest& nest, int number);

/// Takes heat along with more upwinding from now on, if a level's air is too cold
/// (solver/bounds); false when it is not, or when that is at its end.
[[nodiscard]] bool upwind_more(Nest& nest, int number);

/// Something that may lead nowhere: at its end film temperature and report of the nest are put back
/// as they were at its beginning, but with the factorisations that were spent since; unless what
/// was reached is kept.
class Attempt {
public:
  explicit Attempt(Nest& nest)
      : nest_(nest), report_(nest.report), film_(nest.film), heat_peclet_(nest.heat_peclet) {}
  Attempt(const Attempt&) = delete;
  Attempt& operator=(const Attempt&) = delete;
  Attempt(Attempt&&) = delete;
  Attempt& operator=(Attempt&&) = delete;
  ~Attempt();

  void keep() { keeps_ = true; }

private:
  Nest& nest_;
  SolveReport report_;
  double film_;
  double heat_peclet_;
  bool keeps_ = false;
};

/// Growth over the flow's rate below which nothing grows.
inline constexpr double neutral_growth = 1e-3;

} // namespace tiltfin
