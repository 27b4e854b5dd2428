#include "cases/choose/weights.hpp"

#include "cases/file/case.hpp"
#include "cases/input/number_text.hpp"
#include "cases/input/toml_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

namespace tiltfin {

std::vector<double> orientation_weights(const std::vector<std::string>& weights,
                                        std::span<const Orientation> orientations) {
  std::vector<double> shares(orientations.size(), weights.empty() ? 1.0 : 0.0);
  std::vector<std::string> names;
  for (const Orientation& orientation : orientations) {
    names.push_back(orientation.name);
  }
  std::set<std::string> given;
  const Bounds weight = between(0.0, 1e6); // their ratios are what counts
  for (const std::string& text : weights) {
    const std::size_t sign = text.find('=');
    const std::string name = text.substr(0, sign);
    const auto place = std::ranges::find(names, name);
    const std::optional<double> value =
        sign == std::string::npos ? std::nullopt : number_of_text(text.substr(sign + 1));
    if (place == names.end() || !value || !is_within(weight, *value)) {
      throw InputError(fmt::format("--weights: found '{}', allowed an orientation of the case and "
                                   "{}, such as {}=2; orientations: {}",
                                   text, in_words(weight), names.front(), join(names)));
    }
    if (!given.insert(name).second) {
      throw InputError(
          fmt::format("--weights: found '{}', a second weight of {}, allowed one", text, name));
    }
    shares[static_cast<std::size_t>(place - names.begin())] = *value;
  }
  double sum = 0.0;
  for (const double share : shares) {
    sum += share;
  }
  if (sum <= 0.0) {
    throw InputError("--weights: found only zeros, allowed at least one weight above 0");
  }
  for (double& share : shares) {
    share /= sum;
  }
  return shares;
}

std::string weights_text(std::span<const double> weights,
                         std::span<const Orientation> orientations) {
  std::string text;
  for (std::size_t k = 0; k < weights.size(); ++k) {
    if (weights[k] > 0.0) {
      text += fmt::format("{}{} {:.0f} %", text.empty() ? "" : ", ", orientations[k].name,
                          100.0 * weights[k]);
    }
  }
  return text;
}

} // namespace tiltfin
