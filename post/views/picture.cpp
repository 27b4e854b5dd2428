#include "post/views/picture.hpp"

#include "post/text/table_text.hpp"
#include "post/views/flow_drawing.hpp"
#include "post/views/page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace tiltfin {
namespace {

constexpr double picture_margin = 0.3; // around the machine, of its longer side

/// Where things stand on the page [px].
struct Layout {
  double width = 0.0;
  double height = 0.0;
  PageView view;
  double left = 44.0; ///< of the drawing
  double top = 88.0;
  double right = 0.0;
  double bottom = 0.0;
  double column = 0.0; ///< left edge of the colour bar
};

std::string title_line(const Outcome& outcome) {
  return fmt::format("{} · {} · {} W", outcome.panel, outcome.orientation, outcome.power_w);
}

std::string caption_line(const Outcome& outcome) {
  std::string text;
  if (std::isfinite(outcome.base_rise_mean_k.value)) {
    text = fmt::format("base {} K above the room · ",
                       with_error(outcome.base_rise_mean_k.value, outcome.base_rise_mean_k.error));
  }
  return text + fmt::format("air up to {:.2f} m/s · {}", outcome.air_speed_max_m_per_s.value,
                            flow_words(outcome));
}

/// Beside the scale bar, or below it where it would be too long: what flows between two
/// neighbouring streamlines, for the whole depth, and whose scale that is.
std::vector<std::string> scale_notes(const PictureScale& scale, const std::string& scale_is) {
  std::vector<std::string> notes;
  if (scale.line_g_per_s > 0.0) {
    notes.push_back(fmt::format("{:g} g/s of air between neighbouring lines", scale.line_g_per_s));
  }
  if (!scale_is.empty()) {
    notes.push_back("colours and lines: one scale " + scale_is);
  }
  return notes;
}

Layout make_layout(const Rectangle& seen, const SeenFlow& flow, double text_width_needed,
                   std::size_t n_notes) {
  constexpr double largest_width = 680.0;
  constexpr double largest_height = 640.0;
  constexpr double smallest_height = 330.0; // room for colour bar and gravity arrow
  constexpr double column_width = 128.0;
  constexpr double foot = 40.0;
  constexpr double note_row = 20.0;
  Layout layout;
  layout.view =
      fit_view(seen, turn_to_room(flow.gravity_x, flow.gravity_y), largest_width, largest_height);
  const PagePoint size = size_on_page(layout.view, seen);
  const double box_width = std::max({size.x, text_width_needed - column_width, 300.0});
  const double box_height = std::max(size.y, smallest_height);
  layout.right = layout.left + box_width;
  layout.bottom = layout.top + box_height;
  layout.view.middle = {0.5 * (layout.left + layout.right), 0.5 * (layout.top + layout.bottom)};
  layout.column = layout.right + 36.0;
  layout.width = layout.column + column_width - 36.0;
  layout.height = layout.bottom + foot + note_row * static_cast<double>(n_notes);
  return layout;
}

} // namespace

PictureScale picture_scale(const Section& section, const SeenFlow& flow) {
  return scale_of(section, flow, seen_part(section, picture_margin));
}

std::string flow_words(const Outcome& outcome) {
  if (outcome.status == SolveStatus::time_average && std::isfinite(outcome.mean_over_s)) {
    return fmt::format("mean over {:.3g} s", outcome.mean_over_s);
  }
  return name(outcome.status);
}

Drawing picture(const Section& section, const SeenFlow& flow, const Outcome& outcome,
                const PictureStyle& style) {
  const Rectangle seen = seen_part(section, picture_margin);
  const PictureScale scale = style.scale ? *style.scale : scale_of(section, flow, seen);
  const std::string title = title_line(outcome);
  const std::string caption = caption_line(outcome);
  const std::vector<std::string> notes = scale_notes(scale, style.scale_is);
  double widest = std::max(text_width(title, 20.0), text_width(caption, 14.0));
  for (const std::string& note : notes) {
    widest = std::max(widest, text_width(note, 13.0));
  }
  const Layout layout = make_layout(seen, flow, widest, notes.size());

  std::string text = svg_text(layout.left, 38.0, title, {.size = 20.0, .is_bold = true});
  text += svg_text(layout.left, 62.0, caption, {.size = 14.0, .colour = soft_ink});
  text += flow_drawing(section, flow,
                       {.seen = seen, .view = layout.view, .scale = scale, .names = style.names});
  text += colour_bar(scale, {.corner = {layout.column, layout.bottom - 110.0},
                             .length = layout.bottom - layout.top - 134.0,
                             .names = style.names});
  if (flow.gravity_x != 0.0 || flow.gravity_y != 0.0) {
    text += gravity_arrow({layout.column + 9.0, layout.bottom - 66.0}, 62.0);
  }
  text += length_bar({layout.left, layout.bottom + 24.0}, layout.view.scale,
                     0.28 * (layout.right - layout.left));
  double y = layout.bottom + 50.0;
  for (const std::string& note : notes) {
    text += svg_text(layout.left, y, note, {.size = 13.0, .colour = soft_ink});
    y += 20.0;
  }
  return {layout.width, layout.height, title, text};
}

} // namespace tiltfin
