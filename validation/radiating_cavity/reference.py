"""Natural convection and grey radiation in a square cavity, computed independently of tiltfin.

Writes the values in reference.csv: python3 reference.py (numpy, scipy; some minutes).

Air (Boussinesq, Pr 0.71, transparent) in a square of side L; west wall warm, east wall cold,
south and north walls let no heat through: what they receive by radiation they give to the air. All
four walls are grey, diffuse and of one emissivity. Different from tiltfin in every part: streamfunction
and vorticity on nodes that lie on the walls, central differences everywhere, a grid much finer at the
walls, one radiating strip per wall node (view factors by crossed strings), the radiosities
eliminated by a matrix inverse, Newton's method with scipy's SuperLU as the preconditioner of
GMRES. Values are extrapolated to a vanishing grid width with second order from the last two grids;
how far that differs from the extrapolation of the two before is printed as their uncertainty.

Lengths by L, temperatures by the difference of the walls from their mean, velocities by
diffusivity / L, psi and omega accordingly.
"""

import sys

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as sla
from scipy.interpolate import RectBivariateSpline

SIGMA = 5.670374e-8  # W/(m2 K4)
PRANDTL = 0.71
MEAN, WARMER = 293.5, 10.0  # mean of the walls and their difference [K]
SIDE, CONDUCTIVITY = 0.1, 0.0257  # [m], [W/(m K)]


def grid(n, strength=0.9):
    x = np.linspace(0.0, 1.0, n + 1)
    return x - strength * np.sin(2.0 * np.pi * x) / (2.0 * np.pi)


def radiation_matrix(corners, width, nodes_of_side, emissivity):
    """Net flux leaving every wall strip = matrix @ (sigma T^4), with one strip per node and side."""
    low, high = corners[:-1], corners[1:]
    one, nil = np.ones_like(low), np.zeros_like(low)
    a = np.concatenate([np.c_[nil, low], np.c_[one, low], np.c_[low, nil], np.c_[low, one]])
    b = np.concatenate([np.c_[nil, high], np.c_[one, high], np.c_[high, nil], np.c_[high, one]])
    side = np.repeat(np.arange(4), len(low))

    def distance(p, q):
        return np.hypot(p[:, None, 0] - q[None, :, 0], p[:, None, 1] - q[None, :, 1])

    exchange = 0.5 * np.abs(distance(a, a) + distance(b, b) - distance(a, b) - distance(b, a))
    exchange[side[:, None] == side[None, :]] = 0.0
    factors = exchange / np.tile(width, 4)[:, None]
    assert np.abs(factors.sum(axis=1) - 1.0).max() < 1e-9
    unit = np.eye(len(side))
    radiosity = np.linalg.inv(unit - (1.0 - emissivity) * factors) * emissivity
    return (unit - factors) @ radiosity, np.concatenate(nodes_of_side), side


class Cavity:
    """Nodes k = j m + i; each has a control volume between midpoints, half at the walls."""

    def __init__(self, n, emissivity):
        self.x = x = grid(n)
        self.m = m = n + 1
        h = np.diff(x)
        corners = np.concatenate([[0.0], 0.5 * (x[1:] + x[:-1]), [1.0]])
        self.width = w = np.diff(corners)
        one, inner = sp.identity(m), sp.identity(n)
        mean = sp.diags([np.full(n, 0.5)] * 2, [0, 1], shape=(n, m))
        slope = sp.diags([-1.0 / h, 1.0 / h], [0, 1], shape=(n, m))
        leaves = sp.diags([np.ones(n), -np.ones(n)], [0, -1], shape=(m, n))
        at_corner = sp.vstack([one.tocsr()[0], mean, one.tocsr()[m - 1]])  # of volumes, 1D
        across = sp.diags([-np.ones(m), np.ones(m)], [0, 1], shape=(m, m + 1)) @ at_corner
        self.mean_x, self.mean_y = sp.kron(one, mean), sp.kron(mean, one)
        self.out_x, self.out_y = sp.kron(one, leaves), sp.kron(leaves, one)
        wide = sp.diags(w)
        self.laplacian = (self.out_x @ sp.kron(wide, inner) @ sp.kron(one, slope)
                          + self.out_y @ sp.kron(inner, wide) @ sp.kron(slope, one)).tocsr()
        self.flow_x = sp.kron(across, mean)  # volume flow through the faces of the volumes
        self.flow_y = -sp.kron(mean, across)
        half = np.full(m - 1, 0.5)
        central = sp.diags([-half, half], [-1, 1]).tolil()
        central[0] = central[m - 1] = 0.0
        self.slope_x = sp.kron(wide, central)  # integral of dT/dx over a volume
        self.volume = np.kron(w, w)
        k = np.arange(m * m).reshape(m, m)
        self.west, self.east = k[:, 0], k[:, -1]
        self.is_inner = np.zeros(m * m)
        self.is_inner[k[1:-1, 1:-1].ravel()] = 1.0
        self.is_corner = np.zeros(m * m)
        self.is_corner[[k[0, 0], k[0, -1], k[-1, 0], k[-1, -1]]] = 1.0
        self.radiation, self.node, self.side = radiation_matrix(
            corners, w, [k[:, 0], k[:, -1], k[0], k[-1]], emissivity)
        self.strip = np.tile(w, 4)
        # Strips of the insulated walls whose node floats: all but the halves in the corners.
        column = self.node % m
        self.floats = np.where((self.side >= 2) & (column > 0) & (column < n))[0]

    def radiated(self, t):
        """Net flux leaving each strip, in units of conductivity times the difference / L."""
        kelvin = MEAN + WARMER * t[self.node]
        scale = SIDE / (CONDUCTIVITY * WARMER)
        return (self.radiation @ (SIGMA * kelvin**4) * scale,
                4.0 * SIGMA * kelvin**3 * WARMER * scale)

    def residual(self, z, rayleigh):
        """Residual, its sparse Jacobian without radiation's, heat that wall nodes lack."""
        n = self.m**2
        t, psi, omega = z[:n], z[n:2 * n], z[2 * n:]
        fx, fy = self.flow_x @ psi, self.flow_y @ psi

        def carried(value):
            return self.out_x @ (fx * (self.mean_x @ value)) + self.out_y @ (fy * (self.mean_y @ value))

        def by_value():
            return (self.out_x @ sp.diags(fx) @ self.mean_x + self.out_y @ sp.diags(fy) @ self.mean_y)

        def by_psi(value):
            return (self.out_x @ sp.diags(self.mean_x @ value) @ self.flow_x
                    + self.out_y @ sp.diags(self.mean_y @ value) @ self.flow_y)

        heat = carried(t) - self.laplacian @ t
        flux, _ = self.radiated(t)
        np.add.at(heat, self.node[self.side >= 2], (self.strip * flux)[self.side >= 2])
        fixed = np.zeros(n)
        fixed[self.west] = fixed[self.east] = 1.0
        wall = np.zeros(n)
        wall[self.west], wall[self.east] = 0.5, -0.5
        r_t = (1.0 - fixed) * heat + fixed * (t - wall)
        free = sp.diags(1.0 - fixed)
        inner, edge = self.is_inner, 1.0 - self.is_inner - self.is_corner
        defect = self.laplacian @ psi + self.volume * omega  # wall vorticity: no slip on half a volume
        r_psi = inner * defect + (1.0 - inner) * psi
        r_omega = (inner * (carried(omega) - PRANDTL * (self.laplacian @ omega)
                            - rayleigh * PRANDTL * (self.slope_x @ t))
                   + edge * defect + self.is_corner * omega)
        i, e = sp.diags(inner), sp.diags(edge)
        jacobian = sp.bmat([
            [free @ (by_value() - self.laplacian) + sp.diags(fixed), free @ by_psi(t), None],
            [None, i @ self.laplacian + sp.diags(1.0 - inner), i @ sp.diags(self.volume)],
            [-rayleigh * PRANDTL * (i @ self.slope_x), i @ by_psi(omega) + e @ self.laplacian,
             i @ (by_value() - PRANDTL * self.laplacian) + sp.diags(edge * self.volume + self.is_corner)],
        ], format="csc")
        return np.concatenate([r_t, r_psi, r_omega]), jacobian, heat

    def solve(self, z, rayleigh):
        n, m = self.m**2, self.m
        # One node after the other, so that SuperLU's ordering sees a grid.
        order = np.arange(3 * n).reshape(3, n).T.ravel()
        for _ in range(30):
            r, jacobian, _ = self.residual(z, rayleigh)
            _, slope = self.radiated(z[:n])

            def coupled(v):
                out = jacobian @ v
                change = self.radiation @ (slope * v[self.node])
                np.add.at(out, self.node[self.floats], (self.strip * change)[self.floats])
                return out

            lu = sla.splu(jacobian[order][:, order].tocsc(), permc_spec="MMD_AT_PLUS_A",
                          diag_pivot_thresh=0.01, options={"SymmetricMode": True})

            def precondition(v):
                out = np.empty_like(v)
                out[order] = lu.solve(v[order])
                return out

            size = (3 * n, 3 * n)
            step, info = sla.gmres(sla.LinearOperator(size, coupled), r, tol=1e-11, atol=0.0, restart=100,
                                   M=sla.LinearOperator(size, precondition))
            assert info == 0
            z = z - step
            if np.abs(step[:n]).max() < 1e-10:
                break
        else:
            raise RuntimeError("Newton's method has not converged")
        return z

    def nusselt(self, z, rayleigh):
        """Mean Nusselt numbers: convective and radiative of the warm wall, then of the cold one."""
        heat = self.residual(z, rayleigh)[2]
        flux = self.strip * self.radiated(z[:self.m**2])[0]
        return [heat[self.west].sum(), flux[self.side == 0].sum(),
                -heat[self.east].sum(), -flux[self.side == 1].sum()]


def on(cavity, coarse, z):
    """The solution of another grid, by cubic splines."""
    fields = z.reshape(3, coarse.m, coarse.m)
    return np.concatenate([RectBivariateSpline(coarse.x, coarse.x, f)(cavity.x, cavity.x).ravel()
                           for f in fields])


def main():
    grids = [int(a) for a in sys.argv[1:]] or [32, 48, 64]
    for emissivity in (0.2, 0.8):
        last, found = {}, {}
        for n in grids:
            cavity = Cavity(n, emissivity)
            z = np.zeros(3 * cavity.m**2)
            z[:cavity.m**2] = np.kron(np.ones(cavity.m), 0.5 - cavity.x)
            for rayleigh in (1e4, 1e5, 1e6):
                z = on(cavity, *last[rayleigh]) if rayleigh in last else z
                z = cavity.solve(z, rayleigh)
                last[rayleigh] = (cavity, z)
                found.setdefault(rayleigh, []).append(np.array(cavity.nusselt(z, rayleigh)))
        for rayleigh, values in found.items():
            print(f"emissivity {emissivity} Ra {rayleigh:.0e}")
            for n, value in zip(grids, values):
                print(f"  n {n:4}:", *(f"{v:9.5f}" for v in value))
            limits = [fine + (fine - coarse) / ((n / m)**2 - 1.0) for m, n, coarse, fine
                      in zip(grids, grids[1:], values, values[1:])]
            print("  n -> oo:", *(f"{v:9.5f}" for v in limits[-1]))
            print("  +-      :", *(f"{v:9.5f}" for v in np.abs(limits[-1] - limits[-2])), flush=True)


if __name__ == "__main__":
    main()
