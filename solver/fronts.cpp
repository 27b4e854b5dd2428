#include "solver/fronts.hpp"

#include "mesh/index.hpp"

#include <algorithm>
#include <utility>

namespace tiltfin {

namespace {

constexpr double worth_a_task = 2e7; // operations: about a millisecond
constexpr int small_front = 16;      // pivots up to which a third of zeros is better than a front
constexpr double zeros_of_small = 1.0 / 3.0;
constexpr double zeros_of_large = 1.0 / 20.0;

std::size_t square(int k) {
  return index(k) * index(k);
}

/// Per unknown those that share an entry with it, some of them twice.
struct Graph {
  std::vector<int> start;
  std::vector<int> neighbour;
};

template <class Visit>
void for_each_entry(const SparseMatrix& pattern, Visit visit) {
  for (int column = 0; column < pattern.n; ++column) {
    for (int k = pattern.column_start[index(column)]; k < pattern.column_start[index(column) + 1];
         ++k) {
      visit(k, pattern.row[index(k)], column);
    }
  }
}

Graph make_graph(const SparseMatrix& pattern) {
  Graph graph;
  graph.start.assign(index(pattern.n) + 1, 0);
  for_each_entry(pattern, [&](int, int row, int column) {
    if (row != column) {
      ++graph.start[index(row) + 1];
      ++graph.start[index(column) + 1];
    }
  });
  for (std::size_t k = 0; k < index(pattern.n); ++k) {
    graph.start[k + 1] += graph.start[k];
  }
  graph.neighbour.resize(index(graph.start.back()));
  std::vector<int> next(graph.start.begin(), graph.start.end() - 1);
  for_each_entry(pattern, [&](int, int row, int column) {
    if (row != column) {
      graph.neighbour[index(next[index(row)]++)] = column;
      graph.neighbour[index(next[index(column)]++)] = row;
    }
  });
  return graph;
}

/// Zeros among the factors that merging a child into its parent would add.
double zeros_added(const Front& child, const Front& parent) {
  return 2.0 * child.pivots * (parent.height() - child.behind());
}

double factor_entries(double pivots, double behind) {
  return pivots * (pivots + 2.0 * behind);
}

/// Moves the pivots and children of front `k` into its parent; `k` is left without pivots.
void absorb(std::vector<Front>& fronts, int k) {
  Front& child = fronts[index(k)];
  Front& parent = fronts[index(child.parent)];
  child.unknowns.resize(index(child.pivots));
  child.unknowns.insert(child.unknowns.end(), parent.unknowns.begin(), parent.unknowns.end());
  parent.unknowns = std::move(child.unknowns);
  parent.pivots += child.pivots;
  for (const int grandchild : child.children) {
    fronts[index(grandchild)].parent = child.parent;
    parent.children.push_back(grandchild);
  }
  parent.children.erase(std::find(parent.children.begin(), parent.children.end(), k));
  child = {};
}

/// One front per unknown, or per run of them with the same structure: the exact elimination.
std::vector<Front> fundamental_fronts(const Graph& graph) {
  const int n = static_cast<int>(graph.start.size()) - 1;
  std::vector<Front> fronts(index(n));
  std::vector<int> seen_by(index(n), -1);
  for (int own = 0; own < n; ++own) {
    Front& front = fronts[index(own)];
    front.unknowns = {own};
    front.pivots = 1;
    seen_by[index(own)] = own;
    const auto touch = [&](int other) {
      if (other > own && seen_by[index(other)] != own) {
        seen_by[index(other)] = own;
        front.unknowns.push_back(other);
      }
    };
    for (const int child : front.children) {
      const Front& other = fronts[index(child)];
      std::for_each(other.unknowns.begin() + other.pivots, other.unknowns.end(), touch);
    }
    const auto neighbour = graph.neighbour.begin();
    std::for_each(neighbour + graph.start[index(own)], neighbour + graph.start[index(own) + 1],
                  touch);
    if (front.height() > 1) {
      front.parent = *std::min_element(front.unknowns.begin() + 1, front.unknowns.end());
      fronts[index(front.parent)].children.push_back(own);
    }
    const std::vector<int> children = front.children;
    for (const int child : children) {
      if (zeros_added(fronts[index(child)], front) == 0.0) {
        absorb(fronts, child);
      }
    }
  }
  return fronts;
}

/// Merges children into parents where few zeros come of it.
void amalgamate(std::vector<Front>& fronts) {
  std::vector<double> zeros(fronts.size(), 0.0);
  for (std::size_t k = 0; k < fronts.size(); ++k) {
    const std::vector<int> children = fronts[k].children;
    for (const int child : children) {
      const Front& low = fronts[index(child)];
      const Front& high = fronts[k];
      const int pivots = low.pivots + high.pivots;
      const double sum = zeros[index(child)] + zeros[k] + zeros_added(low, high);
      const double limit = pivots <= small_front ? zeros_of_small : zeros_of_large;
      if (sum < limit * factor_entries(pivots, high.behind())) {
        absorb(fronts, child);
        zeros[k] = sum;
      }
    }
  }
}

/// Fronts that have pivots, children before parents and subtrees together.
std::vector<Front> in_postorder(std::vector<Front> fronts) {
  std::vector<int> stack;
  for (std::size_t k = fronts.size(); k-- > 0;) {
    if (fronts[k].pivots > 0 && fronts[k].parent < 0) {
      stack.push_back(static_cast<int>(k));
    }
  }
  std::reverse(stack.begin(), stack.end());
  std::vector<int> order; // parents first, reversed below
  while (!stack.empty()) {
    const int k = stack.back();
    stack.pop_back();
    order.push_back(k);
    stack.insert(stack.end(), fronts[index(k)].children.begin(), fronts[index(k)].children.end());
  }
  std::reverse(order.begin(), order.end());
  std::vector<int> number(fronts.size(), -1);
  std::vector<Front> result(order.size());
  for (std::size_t k = 0; k < order.size(); ++k) {
    number[index(order[k])] = static_cast<int>(k);
    result[k] = std::move(fronts[index(order[k])]);
    result[k].children.clear();
  }
  for (std::size_t k = 0; k < result.size(); ++k) {
    if (result[k].parent >= 0) {
      result[k].parent = number[index(result[k].parent)];
      result[index(result[k].parent)].children.push_back(static_cast<int>(k));
    }
  }
  return result;
}

/// Where updates go in the parents, and entries of the matrix in the factors.
void place_entries(std::vector<Front>& fronts, const SparseMatrix& pattern) {
  std::vector<int> position(index(pattern.n));
  std::vector<int> front_of(index(pattern.n));
  int next = 0;
  for (std::size_t k = 0; k < fronts.size(); ++k) {
    for (int i = 0; i < fronts[k].pivots; ++i) {
      position[index(fronts[k].unknowns[index(i)])] = next++;
      front_of[index(fronts[k].unknowns[index(i)])] = static_cast<int>(k);
    }
    fronts[k].entry.clear();
    fronts[k].place.clear();
  }
  for_each_entry(pattern, [&](int k, int row, int column) {
    const bool row_first = position[index(row)] < position[index(column)];
    Front& front = fronts[index(front_of[index(row_first ? row : column)])];
    front.entry.push_back(k);
  });
  std::vector<int> column_of(pattern.row.size());
  for_each_entry(pattern, [&](int k, int, int column) { column_of[index(k)] = column; });
  std::vector<int> local(index(pattern.n));
  for (Front& front : fronts) {
    std::sort(front.unknowns.begin() + front.pivots, front.unknowns.end(),
              [&](int a, int b) { return position[index(a)] < position[index(b)]; });
    for (int i = 0; i < front.height(); ++i) {
      local[index(front.unknowns[index(i)])] = i;
    }
    for (const int k : front.entry) {
      const int row = local[index(pattern.row[index(k)])];
      const int column = local[index(column_of[index(k)])];
      front.place.push_back(column < front.pivots ? row + front.height() * column
                                                  : front.height() * front.pivots + row +
                                                        front.pivots * (column - front.pivots));
    }
    for (const int child : front.children) {
      Front& other = fronts[index(child)];
      other.in_parent.assign(other.unknowns.begin() + other.pivots, other.unknowns.end());
      for (int& place : other.in_parent) {
        place = local[index(place)];
      }
    }
  }
}

/// Room for factors, for updates, and where the tree forks.
void allot(Fronts& all) {
  std::vector<Front>& fronts = all.fronts;
  std::vector<double> work(fronts.size(), 0.0); // operations of the subtree
  std::vector<std::size_t> room(fronts.size(), 0);
  all.factor_size = 0;
  for (std::size_t k = 0; k < fronts.size(); ++k) {
    Front& front = fronts[k];
    const double pivots = front.pivots;
    const double behind = front.behind();
    front.factors = all.factor_size;
    all.factor_size += index(front.pivots) * index(front.height() + front.behind());
    int heavy = 0;
    for (const int child : front.children) {
      work[k] += work[index(child)];
      heavy += work[index(child)] > worth_a_task ? 1 : 0;
    }
    front.forks = heavy > 1;
    front.splits = 2.0 * pivots * behind * behind > worth_a_task;
    all.largest_pivots = std::max(all.largest_pivots, front.pivots);
    all.largest_behind = std::max(all.largest_behind, front.behind());
    for (const int child : front.children) {
      room[k] = front.forks ? room[k] + room[index(child)] : std::max(room[k], room[index(child)]);
    }
    room[k] += square(front.behind());
    work[k] += 2.0 * pivots * (pivots * (pivots / 3.0 + behind) + behind * behind);
  }
  all.update_size = 0;
  for (std::size_t k = fronts.size(); k-- > 0;) {
    Front& front = fronts[k];
    if (front.parent < 0) {
      front.update = 0; // trees follow one another
      all.update_size = std::max(all.update_size, room[k]);
    }
    std::size_t next = front.update + square(front.behind());
    for (const int child : front.children) {
      fronts[index(child)].update = next;
      next += front.forks ? room[index(child)] : 0;
    }
  }
}

Fronts arrange(std::vector<Front> fronts, const SparseMatrix& pattern) {
  Fronts all;
  all.fronts = in_postorder(std::move(fronts));
  place_entries(all.fronts, pattern);
  allot(all);
  return all;
}

} // namespace

Fronts make_fronts(const SparseMatrix& pattern) {
  std::vector<Front> fronts = fundamental_fronts(make_graph(pattern));
  amalgamate(fronts);
  return arrange(std::move(fronts), pattern);
}

Fronts merge_with_parents(Fronts all, const std::vector<int>& fronts, const SparseMatrix& pattern) {
  for (const int k : fronts) { // ascending: a parent that goes as well takes its child along
    absorb(all.fronts, k);
  }
  return arrange(std::move(all.fronts), pattern);
}

} // namespace tiltfin
