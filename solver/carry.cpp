#include "solver/carry.hpp"

#include <cmath>
#include <numeric>

namespace tiltfin {

namespace {

double released_heat(const Problem& problem) {
  return std::accumulate(problem.heat.begin(), problem.heat.end(), 0.0);
}

} // namespace

State scaled(const Problem& from, State state, const Problem& to) {
  const double before = released_heat(from);
  const double now = released_heat(to);
  if (before <= 0.0 || now <= 0.0 || before == now) {
    return state;
  }
  const double flow = std::pow(now / before, 0.4);
  const double rise = flow * flow;
  const double room = to.air.reference_temperature;
  for (double& psi : state.psi) {
    psi *= flow;
  }
  for (double& temperature : state.temperature) {
    temperature = room + rise * (temperature - room);
  }
  for (double& temperature : state.fin_temperature) {
    temperature = room + rise * (temperature - room);
  }
  for (double& age : state.air_age) {
    age /= flow;
  }
  for (double& heat : state.link_heat) {
    heat *= now / before;
  }
  const double black = stefan_boltzmann * std::pow(room, 4);
  for (std::vector<double>* radiation : {&state.radiosity, &state.irradiation}) {
    for (double& flux : *radiation) {
      flux = black + rise * (flux - black);
    }
  }
  return state;
}

void add_difference(State& state, const State& a, const State& b) {
  const auto add = [](std::vector<double>& to, const std::vector<double>& more,
                      const std::vector<double>& less) {
    for (std::size_t k = 0; k < to.size(); ++k) {
      to[k] += more[k] - less[k];
    }
  };
  add(state.psi, a.psi, b.psi);
  add(state.temperature, a.temperature, b.temperature);
  add(state.fin_temperature, a.fin_temperature, b.fin_temperature);
  add(state.air_age, a.air_age, b.air_age);
  add(state.link_heat, a.link_heat, b.link_heat);
  add(state.radiosity, a.radiosity, b.radiosity);
  add(state.irradiation, a.irradiation, b.irradiation);
}

} // namespace tiltfin
