#include "post/views/sheet.hpp"

#include "mesh/index.hpp"
#include "post/text/table_text.hpp"
#include "post/views/flow_drawing.hpp"
#include "post/views/page.hpp"
#include "post/views/picture.hpp"
#include "post/views/sheet_labels.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double sheet_margin =
    0.26;                        // around the machine, of its longer side; below that of a picture
constexpr double edge = 32.0;    // of the page [px]
constexpr double between = 26.0; // pictures
constexpr double title_room = 84.0;
constexpr double heading_line = 17.0;
constexpr double heading_letters = 12.5;
constexpr std::size_t most_columns = 6;
constexpr double sheet_width = 1480.0; // wished for
constexpr double largest_side = 500.0;
constexpr double narrowest_page = 760.0;
constexpr double title_letters = 24.0;
constexpr double narrowest_column = 216.0; // for a heading

/// Where a picture stands: its row and column.
struct Cell {
  const SheetPicture* picture = nullptr; ///< null: there is none
  std::string name;                      ///< panel state and orientation
  std::size_t row = 0;
  std::size_t column = 0;
};

std::vector<std::string> names_in_order(std::span<const SheetPicture> pictures,
                                        std::string Outcome::*member) {
  std::vector<std::string> names;
  for (const SheetPicture& picture : pictures) {
    const std::string& name = picture.outcome->*member;
    if (std::ranges::find(names, name) == names.end()) {
      names.push_back(name);
    }
  }
  return names;
}

/// Row by row.
std::vector<Cell> make_cells(std::span<const SheetPicture> pictures, std::size_t n_columns) {
  const std::vector<std::string> panels = names_in_order(pictures, &Outcome::panel);
  const std::vector<std::string> orientations = names_in_order(pictures, &Outcome::orientation);
  const std::size_t rows_each = (orientations.size() + n_columns - 1) / n_columns;
  std::vector<Cell> cells;
  for (std::size_t p = 0; p < panels.size(); ++p) {
    for (std::size_t k = 0; k < orientations.size(); ++k) {
      Cell cell{.name = panels[p] + " · " + orientations[k],
                .row = p * rows_each + k / n_columns,
                .column = k % n_columns};
      const auto found = std::ranges::find_if(pictures, [&](const SheetPicture& picture) {
        return picture.outcome->panel == panels[p] &&
               picture.outcome->orientation == orientations[k];
      });
      if (found != pictures.end()) {
        cell.picture = &*found;
      }
      cells.push_back(std::move(cell));
    }
  }
  return cells;
}

/// Parts of a sentence that " · " divides, in lines that are no wider than `width`.
std::vector<std::string> in_lines(const std::string& text, double width,
                                  double letters = heading_letters) {
  const std::string divider = " · ";
  std::vector<std::string> lines;
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t end = std::min(text.find(divider, from), text.size());
    const std::string part = text.substr(from, end - from);
    if (!lines.empty() && text_width(lines.back(), letters) + text_width(divider, letters) +
                                  text_width(part, letters) <=
                              width) {
      lines.back() += divider;
      lines.back() += part;
    } else {
      lines.push_back(part);
    }
    from = end + divider.size();
  }
  return lines;
}

/// What stands under a picture's name.
std::vector<std::string> heading_of(const SheetPicture& picture, double width) {
  const Outcome& outcome = *picture.outcome;
  std::string text;
  if (std::isfinite(outcome.base_rise_mean_k.value)) {
    text = fmt::format("base {} K above the room · ",
                       with_error(outcome.base_rise_mean_k.value, outcome.base_rise_mean_k.error));
  }
  std::vector<std::string> lines = in_lines(text + flow_words(outcome), width);
  if (!picture.limit.empty()) {
    for (std::string& line : in_lines(picture.limit, width)) {
      lines.push_back(std::move(line));
    }
  }
  return lines;
}

Turn turn_of(const SheetPicture& picture) {
  return turn_to_room(picture.flow->gravity_x, picture.flow->gravity_y);
}

/// Size of what a picture shows when it is turned, at 1 px/m.
PagePoint size_of(const SheetPicture& picture) {
  PageView view;
  view.turn = turn_of(picture);
  return size_on_page(view, seen_part(*picture.section, sheet_margin));
}

/// The grid of the page [px].
struct Grid {
  double scale = 0.0;               ///< of all pictures [px/m]
  double heading = 0.0;             ///< height over a picture
  std::vector<double> column_lefts; ///< and, last, where a further one would begin
  std::vector<double> row_tops;     ///< and, last, where the foot begins

  [[nodiscard]] double width_of(std::size_t column) const {
    return column_lefts[column + 1] - column_lefts[column] - between;
  }
};

/// As wide as their widest pictures at 1 px/m.
std::vector<double> column_widths(const std::vector<Cell>& cells, std::size_t n_columns) {
  std::vector<double> widths(n_columns, 0.0);
  for (const Cell& cell : cells) {
    if (cell.picture != nullptr) {
      widths[cell.column] = std::max(widths[cell.column], size_of(*cell.picture).x);
    }
  }
  return widths;
}

void set_columns(Grid& grid, const std::vector<Cell>& cells, std::size_t n_columns) {
  const std::vector<double> widths = column_widths(cells, n_columns);
  double total = 0.0;
  double longest = 0.0;
  for (const double width : widths) {
    total += width;
    longest = std::max(longest, width);
  }
  for (const Cell& cell : cells) {
    longest = std::max(longest, cell.picture != nullptr ? size_of(*cell.picture).y : 0.0);
  }
  const double room = sheet_width - 2.0 * edge - static_cast<double>(n_columns - 1) * between;
  grid.scale = std::min(room / total, largest_side / longest);
  grid.column_lefts = {edge};
  for (const double width : widths) {
    grid.column_lefts.push_back(grid.column_lefts.back() + between +
                                std::max(narrowest_column, grid.scale * width));
  }
}

void set_rows(Grid& grid, const std::vector<Cell>& cells) {
  std::size_t lines = 0;
  for (const Cell& cell : cells) {
    if (cell.picture != nullptr) {
      lines = std::max(lines, heading_of(*cell.picture, grid.width_of(cell.column)).size());
    }
  }
  grid.heading = 26.0 + heading_line * static_cast<double>(lines);
  grid.row_tops = {title_room};
  for (std::size_t row = 0; row <= cells.back().row; ++row) {
    double height = 0.0;
    for (const Cell& cell : cells) {
      if (cell.row == row && cell.picture != nullptr) {
        height = std::max(height, grid.scale * size_of(*cell.picture).y);
      }
    }
    grid.row_tops.push_back(grid.row_tops.back() + grid.heading + height + between);
  }
}

std::string draw_cell(const Grid& grid, const Cell& cell, const PictureScale& scale,
                      const std::string& names) {
  const double left = grid.column_lefts[cell.column];
  double y = grid.row_tops[cell.row] + 16.0;
  std::string text = svg_text(left, y, cell.name, {.size = 16.0, .is_bold = true});
  if (cell.picture == nullptr) {
    return text + svg_text(left, y + heading_line + 2.0, "no result at this power",
                           {.size = heading_letters, .colour = soft_ink});
  }
  const SheetPicture& picture = *cell.picture;
  y += 2.0;
  for (const std::string& line : heading_of(picture, grid.width_of(cell.column))) {
    y += heading_line;
    text += svg_text(left, y, line, {.size = heading_letters, .colour = soft_ink});
  }
  FlowDrawing drawing{.seen = seen_part(*picture.section, sheet_margin),
                      .view = {},
                      .scale = scale,
                      .names = names,
                      .pixels_per_px = 1.0,
                      .tolerance = 0.25,
                      .line = 0.7};
  drawing.view.turn = turn_of(picture);
  drawing.view.scale = grid.scale;
  drawing.view.centre_x = 0.5 * (drawing.seen.x0 + drawing.seen.x1);
  drawing.view.centre_y = 0.5 * (drawing.seen.y0 + drawing.seen.y1);
  const PagePoint size = size_on_page(drawing.view, drawing.seen);
  drawing.view.middle = {left + 0.5 * size.x,
                         grid.row_tops[cell.row] + grid.heading + 0.5 * size.y};
  const SheetLabels labels =
      sheet_labels(*picture.section, *picture.flow, *picture.outcome, drawing.seen, drawing.view);
  return text + flow_drawing(*picture.section, *picture.flow, drawing) + labels.svg;
}

/// What stands below the pictures, and how much room it takes [px].
struct Foot {
  std::string svg;
  double height = 0.0;
};

/// Gravity, lengths, colours and lines, for all pictures.
Foot draw_foot(const Grid& grid, const PictureScale& scale, double width,
               const std::vector<std::string>& notes) {
  constexpr double note_letters = 13.0;
  const double top = grid.row_tops.back() + 14.0;
  Foot foot{gravity_arrow({edge + 8.0, top}, 56.0), 96.0};
  foot.svg += length_bar({edge + 100.0, top + 28.0}, grid.scale, 110.0);
  const double bar_left = edge + 290.0;
  double widest = 0.0;
  for (const std::string& note : notes) {
    widest = std::max(widest, text_width(note, note_letters));
  }
  const double bar_room = width - edge - bar_left - 40.0; // the unit stands beside it
  const double beside = bar_room - widest - 30.0;
  const bool has_room = beside >= 300.0;
  const double length = std::min(has_room ? beside : bar_room, 520.0);
  foot.svg += colour_bar(
      scale,
      {.corner = {bar_left, top + 10.0}, .length = length, .is_level = true, .names = "sheet-"});
  const double x = has_room ? bar_left + length + 70.0 : edge;
  double y = top + (has_room ? 20.0 : 88.0);
  for (const std::string& note : notes) {
    foot.svg += svg_text(x, y, note, {.size = note_letters});
    y += 20.0;
  }
  if (!has_room) {
    foot.height += 20.0 * static_cast<double>(notes.size()) + 6.0;
  }
  return foot;
}

std::vector<std::string> notes_for(const std::vector<Cell>& cells, const PictureScale& scale) {
  std::vector<std::string> notes;
  if (scale.line_g_per_s > 0.0) {
    notes.push_back(fmt::format("{:g} g/s of air between neighbouring lines", scale.line_g_per_s));
  }
  if (std::ranges::any_of(cells, [](const Cell& cell) {
        return cell.picture != nullptr && !fin_gaps(*cell.picture->section).empty();
      })) {
    notes.emplace_back("numbers between fins: air that enters the gap, g/s");
  }
  return notes;
}

} // namespace

Drawing sheet(const SheetText& text, std::span<const SheetPicture> pictures,
              const PictureScale& scale) {
  if (pictures.empty()) {
    return {};
  }
  const std::size_t n_columns =
      std::min(most_columns, names_in_order(pictures, &Outcome::orientation).size());
  const std::vector<Cell> cells = make_cells(pictures, n_columns);
  Grid grid;
  set_columns(grid, cells, n_columns);
  set_rows(grid, cells);
  const double width = std::max({grid.column_lefts.back() - between + edge, narrowest_page,
                                 text_width(text.title, title_letters, true) + 2.0 * edge});
  const std::vector<std::string> subtitle = in_lines(text.subtitle, width - 2.0 * edge, 14.0);
  const double more = 19.0 * static_cast<double>(subtitle.size() - 1);
  for (double& top : grid.row_tops) {
    top += more;
  }
  std::string body = svg_text(edge, 38.0, text.title, {.size = title_letters, .is_bold = true});
  for (std::size_t k = 0; k < subtitle.size(); ++k) {
    body += svg_text(edge, 62.0 + 19.0 * static_cast<double>(k), subtitle[k],
                     {.size = 14.0, .colour = soft_ink});
  }
  for (std::size_t k = 0; k < cells.size(); ++k) {
    body += draw_cell(grid, cells[k], scale, fmt::format("s{}-", k + 1));
  }
  const Foot foot = draw_foot(grid, scale, width, notes_for(cells, scale));
  return {width, grid.row_tops.back() + foot.height, text.title, body + foot.svg};
}

} // namespace tiltfin
