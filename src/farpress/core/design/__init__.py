"""Which boxes go where: a choice by integer programming."""
